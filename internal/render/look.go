package render

import "image/color"

// Look is the colours of a drawing.
type Look struct {
	Paper, Ink, Faint, Lit color.RGBA
}

// WarmPaper is the look on a screen by day.
func WarmPaper() Look {
	return Look{Paper: color.RGBA{0xfb, 0xf7, 0xee, 255}, Ink: color.RGBA{0x1d, 0x1a, 0x16, 255},
		Faint: color.RGBA{0x6b, 0x63, 0x58, 255}, Lit: color.RGBA{0x0a, 0x6e, 0x7a, 255}}
}

// White is the look in print.
func White() Look {
	return Look{Paper: color.RGBA{255, 255, 255, 255}, Ink: color.RGBA{0, 0, 0, 255},
		Faint: color.RGBA{0x55, 0x55, 0x55, 255}, Lit: color.RGBA{0x0a, 0x6e, 0x7a, 255}}
}

// Night is the look on a screen in the dark.
func Night() Look {
	return Look{Paper: color.RGBA{0x17, 0x18, 0x1a, 255}, Ink: color.RGBA{0xe6, 0xde, 0xcf, 255},
		Faint: color.RGBA{0x9a, 0x93, 0x86, 255}, Lit: color.RGBA{0x5f, 0xd0, 0xdd, 255}}
}

// lineWidth is the one line weight, in drawing units: 0.3 mm.
const lineWidth = 1.2
