package align

import "foilside/internal/num/geom"

// Lenses are one radial term for each photo (CONTRACT §2): about the photo's
// centre, with half its diagonal as norm, so that k1 is the share by which a
// corner is moved out.
type Lenses struct {
	Component, Foil geom.Lens
}

// noLenses is a lens without effect for each photo.
func noLenses(sizes Sizes) Lenses {
	return Lenses{
		Component: geom.Lens{Centre: sizes.Component.centre(), Norm: sizes.Component.diagonal() / 2},
		Foil:      geom.Lens{Centre: sizes.Foil.centre(), Norm: sizes.Foil.diagonal() / 2},
	}
}

// flat reports whether neither lens has an effect.
func (l Lenses) flat() bool { return l.Component.K1 == 0 && l.Foil.K1 == 0 }

// usable reports whether both lenses map their whole photo one to one.
func (l Lenses) usable() bool {
	// Undistorted radii exceed seen ones where k1 < 0; 1.3 norms is where a
	// seen corner comes from at the limit.
	return l.Component.Monotonic(1.3*l.Component.Norm) && l.Foil.Monotonic(1.3*l.Foil.Norm)
}
