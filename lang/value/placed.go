package value

import "perch/parts/plane"

// Canvas is the plane to draw on.
func (p Placed) Canvas() *Canvas { return &Canvas{Frame: p.Frame, Point: p.coordinates()} }

func (p Placed) coordinates() plane.Affine {
	if p.On == (plane.Affine{}) {
		return plane.Identity()
	}
	return p.On
}

// Over is the plane for metal laid on what is drawn here: its drawn side lies against
// it, and points are where they are here.
func (p Placed) Over() Placed {
	return Placed{Frame: p.Frame.Back(), On: p.coordinates().Then(plane.MirrorX())}
}

// Back is the plane drawn on its other side: u runs the other way.
func (p Placed) Back() Placed {
	return Placed{Frame: p.Frame.Back(), On: plane.MirrorX().Then(p.coordinates()).Then(plane.MirrorX())}
}

// Moved is the plane moved by d (mm) towards whoever looks at its drawn side.
func (p Placed) Moved(d float64) Placed {
	return Placed{Frame: p.Frame.Shifted(d), On: p.coordinates()}
}

// At is the plane with its origin at a point of it.
func (p Placed) At(origin plane.Point) Placed {
	return Placed{Frame: p.Frame, On: plane.Translate(origin).Then(p.coordinates())}
}
