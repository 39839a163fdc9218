package specimen

import (
	"math"
	"math/rand/v2"

	"foilside/internal/num/geom"
)

// Shot is everything about taking the two photographs.
type Shot struct {
	Width     int      `json:"width"`            // pixels of each photograph
	Height    int      `json:"height,omitempty"` // 0: as the board needs
	Seed      uint64   `json:"seed"`             // of noise and reflections
	Component FaceShot `json:"component"`
	Foil      FaceShot `json:"foil"`
}

// FaceShot is one photograph: where the camera stood, the light, its faults.
type FaceShot struct {
	Camera   Camera     `json:"camera"`
	Light    Light      `json:"light"`
	Bench    Bench      `json:"bench"`
	Exposure float64    `json:"exposure"`        // 1: as metered
	White    [3]float64 `json:"white"`           // gains of red, green and blue; 1 1 1: neutral
	Contrast float64    `json:"contrast"`        // 0 plain; 1 what telephones do
	Vignette float64    `json:"vignette"`        // share of light lost in the corners
	Blur     float64    `json:"blur"`            // sigma, pixels
	Sharpen  float64    `json:"sharpen"`         // 0..1
	Noise    float64    `json:"noise"`           // sigma of a mid grey, 8-bit steps
	Quality  int        `json:"quality"`         // JPEG, 1..100
	Scene    *Scene     `json:"scene,omitempty"` // more of the room and the camera; nil: a plain room
}

// Bench is what the board lies on.
type Bench string

// The benches.
const (
	GreenMat  Bench = "green mat"
	Wood      Bench = "wood"
	Paper     Bench = "white paper"
	DarkCloth Bench = "dark cloth"
	GreySteel Bench = "grey steel"
)

// PlainShot takes both faces straight from above in even light, with a good
// camera: the easiest photographs.
func PlainShot(width int, seed uint64) Shot {
	face := FaceShot{
		Camera:   Camera{Distance: 3, Margin: 0.06},
		Light:    Light{Azimuth: -2.2, Elevation: 0.9, Lamp: 0.8, Glare: 0.5},
		Bench:    GreenMat,
		Exposure: 1, White: [3]float64{1, 1, 1},
		Blur: 0.5, Noise: 1, Quality: 92,
	}
	return Shot{Width: width, Seed: seed, Component: face, Foil: face}
}

// RandomShot takes photographs as people do. Difficulty runs from 0 (careful)
// to 1 (nasty: steep, dim, soft, full of glare).
func RandomShot(width int, seed uint64, difficulty float64) Shot {
	r := newRand(seed, 11)
	s := Shot{Width: width, Seed: seed}
	bench := oneOf(r, GreenMat, Wood, Paper, DarkCloth, GreySteel)
	lens := between(r, -0.05, 0.02) * (0.3 + difficulty)
	s.Component = randomFace(r, difficulty, bench, lens)
	s.Foil = randomFace(r, difficulty, bench, lens)
	if r.Float64() < 0.3 { // turned over about the horizontal axis
		s.Foil.Camera.Spin += math.Pi
	}
	if r.Float64() < 0.15*difficulty { // or turned in the hand as well
		s.Foil.Camera.Spin += math.Pi / 2
	}
	return s
}

func randomFace(r *rand.Rand, k float64, bench Bench, lens float64) FaceShot {
	warm := between(r, -0.12, 0.12) * (0.3 + 0.7*k)
	return FaceShot{
		Camera: Camera{
			Tilt: between(r, 0.01, 0.06+0.3*k), TiltAxis: r.Float64() * 2 * math.Pi,
			Spin: r.NormFloat64() * (0.01 + 0.06*k), Distance: between(r, 1.4, 2.8),
			Margin: between(r, 0.02, 0.1), K1: lens,
			Off: geom.Point{X: between(r, -0.02, 0.02), Y: between(r, -0.02, 0.02)},
		},
		Light: Light{
			Azimuth: r.Float64() * 2 * math.Pi, Elevation: between(r, 0.6, 1.2), Lamp: between(r, 0.3, 1.2),
			Slope:  geom.Point{X: between(r, -0.4, 0.4) * (0.3 + k), Y: between(r, -0.4, 0.4) * (0.3 + k)},
			Shadow: math.Max(0, between(r, -0.5, 0.6)) * k, ShadowDir: r.Float64() * 2 * math.Pi,
			ShadowAt: geom.Point{X: between(r, 0, 80), Y: between(r, 0, 60)}, Glare: between(r, 0.3, 0.6+0.8*k),
		},
		Bench: bench, Exposure: 1 + between(r, -0.25, 0.2)*(0.3+0.7*k),
		White:    [3]float64{1 + warm, 1 + between(r, -0.03, 0.03), 1 - warm},
		Contrast: between(r, 0, 0.8), Vignette: between(r, 0, 0.15+0.2*k), Blur: between(r, 0.4, 0.7+1.3*k),
		Sharpen: between(r, 0, 0.8), Noise: between(r, 0.7, 1.5+4*k), Quality: 95 - int(between(r, 0, 8+20*k)),
	}
}

// Backlit is the same photograph taken on a light table in a dim room.
func (f FaceShot) Backlit() FaceShot {
	f.Light.Behind = 2.2
	f.Light.Glare *= 0.3
	f.Exposure *= 0.42
	return f
}

// CloseUp is the same photograph taken zoom times larger around a place on the
// board, mm.
func (f FaceShot) CloseUp(aim geom.Point, zoom float64) FaceShot {
	f.Camera.Aim, f.Camera.Zoom = aim, zoom
	return f
}
