package photo

import "hash/crc32"

// crc is the checksum that PNG chunks carry.
func crc(data []byte) uint32 { return crc32.ChecksumIEEE(data) }
