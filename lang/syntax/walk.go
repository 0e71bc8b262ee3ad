package syntax

// Inspect calls visit for n and, where it returns true, for everything below
// n, in order of the text. Nodes are statements and expressions; n may be
// nil. A File is walked with InspectFile.
func Inspect(n Node, visit func(Node) bool) {
	if n == nil || !visit(n) {
		return
	}
	w := walker(visit)
	switch x := n.(type) {
	case Stmt:
		w.stmt(x)
	case Expr:
		w.inside(x)
	}
}

// InspectFile calls Inspect for the design line and every statement of f.
func InspectFile(f *File, visit func(Node) bool) {
	if f.Design != nil {
		Inspect(f.Design, visit)
	}
	walker(visit).body(f.Stmts)
}

type walker func(Node) bool

func (w walker) expr(e Expr) {
	if e != nil {
		Inspect(e, w)
	}
}

func (w walker) exprs(es ...Expr) {
	for _, e := range es {
		w.expr(e)
	}
}

func (w walker) body(ss []Stmt) {
	for _, s := range ss {
		Inspect(s, w)
	}
}

func (w walker) domain(d *Domain) {
	if d != nil {
		w.exprs(d.Lo, d.Hi)
	}
}

func (w walker) decls(ds []Decl) {
	for i := range ds {
		w.domain(ds[i].Domain)
		w.expr(ds[i].Default)
	}
}

func (w walker) each(es []Each) {
	for i := range es {
		w.domain(es[i].Domain)
	}
}

// stmt walks what stands inside a statement.
func (w walker) stmt(s Stmt) {
	switch x := s.(type) {
	case *Stock:
		w.expr(x.Value)
	case *Param:
		w.domain(x.Decl.Domain)
		w.expr(x.Decl.Default)
	case *Let:
		w.each(x.Index)
		w.decls(x.Params)
		w.expr(x.Value)
	case *Rule:
		w.exprs(x.Cond, x.Guard)
	case *Size:
		for i := range x.States {
			w.expr(x.States[i].Value)
		}
	case *Body:
		w.each(x.Index)
		w.expr(x.Value)
	case *Part:
		w.each(x.Index)
		w.exprs(x.Of, x.Value, x.Guard)
	case *Join:
		w.each(x.Index)
		w.exprs(x.Members...)
		w.exprs(x.Places, x.By, x.Guard)
	case *Panel:
		w.decls(x.Params)
		w.body(x.Body)
	case *Face:
		w.each(x.Index)
		w.exprs(x.Off, x.On, x.From, x.Angle, x.Guard)
		w.body(x.Body)
	case *Fold:
		w.each(x.Index)
		w.exprs(x.A, x.B, x.By, x.Guard)
	case *Seam:
		w.each(x.Index)
		w.exprs(x.A, x.B, x.By, x.Guard)
	case *Outline:
		w.expr(x.Value)
	case *Cut:
		w.each(x.Index)
		w.exprs(x.In, x.Behind, x.Value, x.Guard)
	case *Mark:
		w.each(x.Index)
		w.exprs(x.In, x.Value, x.Guard)
	}
}

// inside walks the operands of an expression.
func (w walker) inside(e Expr) {
	switch x := e.(type) {
	case *Call:
		w.expr(x.Fun)
		for i := range x.Args {
			w.expr(x.Args[i].Value)
		}
	case *Member:
		w.expr(x.X)
	case *IndexExpr:
		w.expr(x.X)
		w.exprs(x.Index...)
	case *Pair:
		w.exprs(x.X, x.Y)
	case *Triple:
		w.exprs(x.X, x.Y, x.Z)
	case *Paren:
		w.expr(x.X)
	case *List:
		for i := range x.Items {
			it := &x.Items[i]
			w.exprs(it.Value, it.Round, it.Chamfer, it.Arc)
		}
	case *If:
		w.exprs(x.Cond, x.Then, x.Else)
	case *Binary:
		w.exprs(x.X, x.Y)
	case *Unary:
		w.expr(x.X)
	case *In:
		w.expr(x.X)
		w.domain(x.Domain)
	}
}
