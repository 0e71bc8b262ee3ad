package step

import (
	"fmt"
	"strconv"

	"perch/parts/panel"
	"perch/parts/solid"
)

// file is what the instances of one file refer to over and over.
type file struct {
	entities
	application, mechanical, part ref // contexts
	measures                      ref // the units and what a place is known to
	home                          ref // the axes in which everything is placed
	products                      []ref
	made                          map[form]product
}

// form is a blank as it is bent; one without bends turned over is the same.
type form struct {
	blank    int
	mirrored bool
}

func formOf(a *panel.Assembly, c panel.Copy) form {
	return form{c.Blank, c.Mirrored && len(a.Blanks[c.Blank].Flat.Folds) > 0}
}

// product is a part or the whole: its definition and its shape.
type product struct{ definition, shape, axes ref }

// uncertainty is within what, in mm, edges lie on their faces: ten times the splines' own.
const uncertainty = 1e-5

func (f *file) context() {
	f.application = f.begin("APPLICATION_CONTEXT").text("managed model based 3d engineering").end()
	f.begin("APPLICATION_PROTOCOL_DEFINITION").text("international standard").text("ap242_managed_model_based_3d_engineering").raw("2014").ref(f.application).end()
	f.mechanical = f.begin("PRODUCT_CONTEXT").text("").ref(f.application).text("mechanical").end()
	f.part = f.begin("PRODUCT_DEFINITION_CONTEXT").text("part definition").ref(f.application).text("design").end()
	mm := f.complex("LENGTH_UNIT()NAMED_UNIT(*)SI_UNIT(.MILLI.,.METRE.)")
	rad := f.complex("NAMED_UNIT(*)PLANE_ANGLE_UNIT()SI_UNIT($,.RADIAN.)")
	sr := f.complex("NAMED_UNIT(*)SI_UNIT($,.STERADIAN.)SOLID_ANGLE_UNIT()")
	f.begin("UNCERTAINTY_MEASURE_WITH_UNIT").raw("LENGTH_MEASURE(").length(uncertainty)
	f.buf = append(f.buf, ')')
	within := f.ref(mm).text("distance_accuracy_value").text("").end()
	f.measures = f.complex(fmt.Sprintf("GEOMETRIC_REPRESENTATION_CONTEXT(3)GLOBAL_UNCERTAINTY_ASSIGNED_CONTEXT((#%d))"+
		"GLOBAL_UNIT_ASSIGNED_CONTEXT((#%d,#%d,#%d))REPRESENTATION_CONTEXT('','3D')", within, mm, rad, sr))
	f.home = f.axes(f.point(solid.Vec{}), solid.Vec{Z: 1}, solid.Vec{X: 1})
}

// complex is an instance of several types at once, in the order of their names.
func (f *file) complex(types string) ref {
	f.begin("")
	f.buf = append(f.buf, types...)
	return f.end()
}

// product starts a product and its definition.
func (f *file) product(id, name, about string) product {
	p := f.begin("PRODUCT").text(id).text(name).text(about).list(f.mechanical).end()
	f.products = append(f.products, p)
	formed := f.begin("PRODUCT_DEFINITION_FORMATION").text("").text("").ref(p).end()
	return product{definition: f.begin("PRODUCT_DEFINITION").text("design").text("").ref(formed).ref(f.part).end()}
}

// shaped gives a product its shape.
func (f *file) shaped(p *product, shape ref) {
	p.shape = shape
	of := f.begin("PRODUCT_DEFINITION_SHAPE").text("").text("").ref(p.definition).end()
	f.begin("SHAPE_DEFINITION_REPRESENTATION").ref(of).ref(shape).end()
}

// parts writes every blank as it is bent, in the order of the copies.
func (f *file) parts(a *panel.Assembly) error {
	f.made = map[form]product{}
	for _, c := range a.Copies {
		key := formOf(a, c)
		if _, made := f.made[key]; made {
			continue
		}
		b := a.Blanks[c.Blank]
		name := b.Name
		if key.mirrored {
			name += ", bent the other way"
		}
		made, err := solidOf(b.Flat, key.mirrored)
		if err != nil {
			return fmt.Errorf("part %s: %w", b.Name, err)
		}
		stock := b.Flat.Panel.Stock
		p := f.product(name, name, stock.Material+" "+strconv.FormatFloat(stock.Thickness, 'f', -1, 64)+" mm")
		body := f.body(name, made)
		p.axes = f.home
		f.shaped(&p, f.begin("ADVANCED_BREP_SHAPE_REPRESENTATION").text(name).list(f.home, body).ref(f.measures).end())
		f.made[key] = p
	}
	return nil
}

// solidOf is the closed surface of a bent part.
func solidOf(f *panel.Flat, mirrored bool) (*shell, error) {
	b := fold(f, mirrored)
	c, err := cut(f, b)
	if err != nil {
		return nil, err
	}
	return enclose(b, c)
}

// place writes the whole and where its copies stand in it.
func (f *file) place(a *panel.Assembly) {
	whole := f.product(title(a), title(a), "")
	axes := make([]ref, len(a.Copies))
	for i, c := range a.Copies {
		axes[i] = f.stand(c, a.Blanks[c.Blank].Flat)
	}
	f.shaped(&whole, f.begin("SHAPE_REPRESENTATION").text(title(a)).list(append([]ref{f.home}, axes...)...).ref(f.measures).end())
	for i, c := range a.Copies {
		p := f.made[formOf(a, c)]
		used := f.begin("NEXT_ASSEMBLY_USAGE_OCCURRENCE").text(c.Name).text(c.Name).text("").ref(whole.definition).ref(p.definition).raw("$").end()
		of := f.begin("PRODUCT_DEFINITION_SHAPE").text("").text("").ref(used).end()
		moved := f.begin("ITEM_DEFINED_TRANSFORMATION").text("").text("").ref(p.axes).ref(axes[i]).end()
		related := f.complex(fmt.Sprintf("REPRESENTATION_RELATIONSHIP('','',#%d,#%d)REPRESENTATION_RELATIONSHIP_WITH_TRANSFORMATION(#%d)SHAPE_REPRESENTATION_RELATIONSHIP()",
			p.shape, whole.shape, moved))
		f.begin("CONTEXT_DEPENDENT_SHAPE_REPRESENTATION").ref(related).ref(of).end()
	}
	f.begin("PRODUCT_RELATED_PRODUCT_CATEGORY").text("part").raw("$").list(f.products...).end()
}

// stand is where a copy stands: of a mirrored one what its matrix does beyond mirroring its
// solid in z, which is done already or, where nothing is bent, done by turning it over.
func (f *file) stand(c panel.Copy, of *panel.Flat) ref {
	m := c.Matrix
	at, x, z := solid.Vec{X: m[3], Y: m[7], Z: m[11]}, solid.Vec{X: m[0], Y: m[4], Z: m[8]}, solid.Vec{X: m[2], Y: m[6], Z: m[10]}
	if c.Mirrored && len(of.Folds) == 0 {
		at = at.Sub(z.Scale(of.Panel.Stock.Thickness))
	}
	if c.Mirrored {
		z = z.Neg()
	}
	return f.axes(f.point(at), z, x)
}
