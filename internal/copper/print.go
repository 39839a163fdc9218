package copper

import "foilside/internal/num/raster"

// How print over the foil is told, in working pixels, L* and log odds. Chosen on
// rendered boards numbered from 7000 and from 9000 (TestSpecimens).
const (
	// printStroke is half the width of the widest stroke of print.
	printStroke = 6
	// printRise is the least by which a stroke is paler than what is beside it.
	printRise = 8.0
	// printUnsure is the most that the network says for or against metal beneath.
	printUnsure = 3.0
	// printAround is half the side of the square over which that is averaged.
	printAround = 2
	// printHem is how far a stroke's soft edge reaches.
	printHem = 2
	// printSight is how sure the network must be of the board for a patch of
	// which it is unsure to mean that something lies over it. Where it is unsure
	// of many places, shining tracks are pale strokes too.
	printSight = 0.93
)

// printed marks the strokes of print: paler than what is on both their sides,
// where the network can't tell what is beneath.
func printed(lightness, metal raster.Plane, board raster.Mask) raster.Mask {
	ground, around := raster.Open(lightness, printStroke), raster.BoxMean(metal, printAround)
	m := raster.NewMask(board.W, board.H)
	for i, v := range lightness.Pix {
		u := around.Pix[i]
		if board.Pix[i] != 0 && v-ground.Pix[i] > printRise && u > -printUnsure && u < printUnsure {
			m.Pix[i] = 1
		}
	}
	return m.Opened(1).Dilated(printHem)
}
