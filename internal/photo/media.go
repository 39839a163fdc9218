package photo

import "bytes"

// Media types that Decode reads.
const (
	mediaJPEG = "image/jpeg"
	mediaPNG  = "image/png"
	mediaWebP = "image/webp"
	mediaTIFF = "image/tiff"
	mediaHEIC = "image/heic"
)

// MediaType tells what an image file is from its first bytes, or returns ""
// where it is none that Decode reads.
//
// Source: JFIF 1.02; PNG (ISO/IEC 15948) §5.2; RIFF container of WebP; TIFF
// 6.0 §2; ISO/IEC 23008-12 (HEIF) §10, brands of the ftyp box.
func MediaType(data []byte) string {
	switch {
	case bytes.HasPrefix(data, []byte{0xff, 0xd8, 0xff}):
		return mediaJPEG
	case bytes.HasPrefix(data, []byte("\x89PNG\r\n\x1a\n")):
		return mediaPNG
	case len(data) >= 12 && string(data[:4]) == "RIFF" && string(data[8:12]) == "WEBP":
		return mediaWebP
	case bytes.HasPrefix(data, []byte("II*\x00")), bytes.HasPrefix(data, []byte("MM\x00*")):
		return mediaTIFF
	case isHEIC(data):
		return mediaHEIC
	}
	return ""
}

func isHEIC(data []byte) bool {
	if len(data) < 12 || string(data[4:8]) != "ftyp" {
		return false
	}
	switch string(data[8:12]) {
	case "heic", "heix", "heim", "heis", "hevc", "hevx", "mif1", "msf1":
		return true
	}
	return false
}
