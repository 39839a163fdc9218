// Package raster holds image kernels on planes: float32 planes for measured
// quantities and uint8 masks for yes or no.
//
// It is plain arithmetic and knows neither photographs nor boards. A plane is
// stored row by row; the centre of the first pixel is (0, 0). Kernels replicate
// the border. All kernels are deterministic: they split rows between
// processors in a way that never changes a sum.
package raster
