// Package sheet is the service sheet: what a person leaves for the next one
// who opens the unit.
//
// In:  a Sheet: plain rows of words and numbers, a drawing, photographs as
// upright JPEG bytes.
// Out: Document, a tree of headings, paragraphs, tables and figures, in the
// order in which it is read. package render prints it.
//
// Cautions come first. They give what can be stored and for how long, defer to
// the rules that hold where the reader is and to qualified people, and never
// say that anything is safe: a computed voltage is no proof.
package sheet
