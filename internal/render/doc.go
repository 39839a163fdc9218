// Package render turns scenes into files: a schematic.Drawing into SVG by
// CONTRACT §4, PDF and PNG; a sheet.Sheet into a printable page and a PDF.
//
// In:  plain data, and a Look (paper, ink, page).
// Out: the bytes of one file.
//
// A drawing goes through one list of lines and texts (list.go) for PDF and
// PNG, so that all three show the same. The SVG has no transforms and no
// style that moves anything; every colour is a class, so that the bench can
// light a net.
package render
