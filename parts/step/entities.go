package step

import (
	"strconv"

	"perch/parts/decimal"
	"perch/parts/solid"
)

// ref is an instance of the file by its number; 0 is none.
type ref int

// entities are the instances of a file, in the order of their numbers.
type entities struct {
	buf        []byte
	last       ref
	directions map[string]ref // by their text
	bad        bool           // a number was not finite
}

// begin starts an instance of a type; its parameters follow, then end.
func (e *entities) begin(kind string) *entities {
	e.last++
	e.buf = append(e.buf, '#')
	e.buf = strconv.AppendInt(e.buf, int64(e.last), 10)
	e.buf = append(e.buf, '=')
	e.buf = append(e.buf, kind...)
	e.buf = append(e.buf, '(')
	return e
}

// sep writes the comma before a parameter that is not the first of its list.
func (e *entities) sep() {
	if c := e.buf[len(e.buf)-1]; c != '(' {
		e.buf = append(e.buf, ',')
	}
}

func (e *entities) end() ref {
	e.buf = append(e.buf, ");\n"...)
	return e.last
}

// raw appends a parameter as it stands: .T., $, *.
func (e *entities) raw(s string) *entities {
	e.sep()
	e.buf = append(e.buf, s...)
	return e
}

func (e *entities) text(s string) *entities {
	e.sep()
	e.buf = text(e.buf, s)
	return e
}

func (e *entities) flag(yes bool) *entities {
	if yes {
		return e.raw(".T.")
	}
	return e.raw(".F.")
}

func (e *entities) length(x float64) *entities {
	e.sep()
	e.bad = e.bad || !decimal.Finite(x)
	e.buf = number(e.buf, x, lengthDecimals)
	return e
}

func (e *entities) ref(r ref) *entities {
	e.sep()
	e.buf = append(e.buf, '#')
	e.buf = strconv.AppendInt(e.buf, int64(r), 10)
	return e
}

func (e *entities) list(rs ...ref) *entities {
	e.sep()
	e.buf = append(e.buf, '(')
	for _, r := range rs {
		e.ref(r)
	}
	e.buf = append(e.buf, ')')
	return e
}

func (e *entities) integers(ns []int) *entities {
	e.sep()
	e.buf = append(e.buf, '(')
	for _, n := range ns {
		e.sep()
		e.buf = strconv.AppendInt(e.buf, int64(n), 10)
	}
	e.buf = append(e.buf, ')')
	return e
}

func (e *entities) point(v solid.Vec) ref {
	e.bad = e.bad || !decimal.Finite(v.X, v.Y, v.Z)
	e.begin("CARTESIAN_POINT").text("").sep()
	e.buf = triple(e.buf, v, lengthDecimals)
	return e.end()
}

// direction is a unit vector, each written once.
func (e *entities) direction(v solid.Vec) ref {
	e.bad = e.bad || !decimal.Finite(v.X, v.Y, v.Z)
	key := triple(nil, v, decimal.Cosine)
	if r, known := e.directions[string(key)]; known {
		return r
	}
	e.begin("DIRECTION").text("").sep()
	e.buf = append(e.buf, key...)
	r := e.end()
	if e.directions == nil {
		e.directions = map[string]ref{}
	}
	e.directions[string(key)] = r
	return r
}

// axes places something: its z along axis, its x along along, both of them unit vectors.
func (e *entities) axes(at ref, axis, along solid.Vec) ref {
	z, x := e.direction(axis), e.direction(along)
	return e.begin("AXIS2_PLACEMENT_3D").text("").ref(at).ref(z).ref(x).end()
}

func (e *entities) lengths(xs []float64) *entities {
	e.sep()
	e.buf = append(e.buf, '(')
	for _, x := range xs {
		e.length(x)
	}
	e.buf = append(e.buf, ')')
	return e
}
