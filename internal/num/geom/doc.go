// Package geom holds plane points, projective maps and the one-term radial
// lens. It works on plain float64 pairs and knows neither pixels nor
// millimetres: a caller's field name says which it is.
package geom
