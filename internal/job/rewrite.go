package job

// RewriteText writes the document as text, keeping what it can of the old
// text.
func RewriteText(old []byte, d Document) []byte { return WriteText(d) }
