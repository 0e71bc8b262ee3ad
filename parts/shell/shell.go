// Package shell computes how structures of thin sheet move under load: flat triangles that
// bend and stretch, with large movements and turns, joined by fasteners, touching and
// standing unilaterally. It is elastic and static: it knows no yield, no impact, no fatigue,
// and neither panels nor furniture; it never tells whether a structure is safe.
//
// Lengths are mm, forces N, stresses MPa, angles radians. A node has six freedoms: three
// movements along the axes of the world and three turns about them.
package shell

import "perch/parts/solid"

// Freedoms of a node, in order.
const (
	MoveX = iota
	MoveY
	MoveZ
	TurnX
	TurnY
	TurnZ
	freedoms
)

// Material is what a sheet is made of: Young's modulus in MPa and Poisson's ratio.
type Material struct {
	E, Nu float64
}

// Triangle is a flat piece of sheet. Its nodes lie on the mid-surface; seen so that they
// run counter-clockwise, the upper surface faces the viewer.
type Triangle struct {
	Nodes     [3]int32
	Thickness float64
	Material  Material
	// Bending and Stretching multiply the stiffness against both; 0 stands for 1.
	Bending, Stretching float64
}

// Link is a fastener between two nodes: a short spring from the point ArmA beside node A to
// the point ArmB beside node B, which lie in one place when nothing is loaded.
type Link struct {
	A, B       int32
	ArmA, ArmB solid.Vec // from node to point, as built
	Axis       solid.Vec // unit, along the fastener
	Shear      float64   // N/mm, square to the axis
	Pull       float64   // N/mm, along it
	Tilt       float64   // N·mm/rad, about lines square to the axis
	Twist      float64   // N·mm/rad, about it
}

// Contact holds a node to one side of a face of three nodes, or of the floor: it pushes
// where the node has come closer than Clear, and never pulls.
type Contact struct {
	Node   int32
	Face   [3]int32   // all −1 for the world, which does not move
	Weight [3]float64 // of the face's nodes, at the place that is touched
	Normal solid.Vec  // unit, from the face towards the node
	Clear  float64    // mm that the node may come closer before it touches
	// Stiffness is that of touching metal, N/mm. Friction is the greatest part of the
	// pressure that holds the node from sliding, on the world alone; Infinite holds it.
	Stiffness float64
	Friction  float64
}

// Held is a freedom that does not move.
type Held struct {
	Node    int32
	Freedom int
}

// Tie is a linear condition held by a stiff spring: the sum of the freedoms, each times its
// factor, stays zero. It is for small movements.
type Tie struct {
	Of     []Held
	Factor []float64
	Spring float64 // N/mm
}

// Load is a force and a moment on a node, which keep their directions.
type Load struct {
	Node          int32
	Force, Moment solid.Vec
}

// Model is a structure as built.
type Model struct {
	Nodes     []solid.Vec
	Triangles []Triangle
	Links     []Link
	Contacts  []Contact
	Held      []Held
	Ties      []Tie
}
