package compare

import "perch/lang/syntax"

// printed is an expression in canonical form, without brackets that change
// nothing.
func printed(e syntax.Expr) string {
	if e == nil {
		return ""
	}
	return syntax.Print(bare(e))
}

// bare copies an expression without its brackets; the printer sets those that
// the tree needs.
func bare(e syntax.Expr) syntax.Expr {
	switch x := e.(type) {
	case *syntax.Paren:
		return bare(x.X)
	case *syntax.Call:
		c := &syntax.Call{At: x.At, Fun: bare(x.Fun)}
		for _, a := range x.Args {
			c.Args = append(c.Args, syntax.Arg{Label: a.Label, Value: bare(a.Value)})
		}
		return c
	case *syntax.Member:
		return &syntax.Member{At: x.At, X: bare(x.X), Name: x.Name}
	case *syntax.IndexExpr:
		return &syntax.IndexExpr{At: x.At, X: bare(x.X), Index: bares(x.Index)}
	case *syntax.Pair:
		return &syntax.Pair{At: x.At, X: bare(x.X), Y: bare(x.Y)}
	case *syntax.Triple:
		return &syntax.Triple{At: x.At, X: bare(x.X), Y: bare(x.Y), Z: bare(x.Z)}
	case *syntax.List:
		l := &syntax.List{At: x.At}
		for _, it := range x.Items {
			it.Value, it.Round, it.Chamfer, it.Arc = bare(it.Value), bare(it.Round), bare(it.Chamfer), bare(it.Arc)
			l.Items = append(l.Items, it)
		}
		return l
	case *syntax.If:
		return &syntax.If{At: x.At, Cond: bare(x.Cond), Then: bare(x.Then), Else: bare(x.Else)}
	case *syntax.Binary:
		return &syntax.Binary{At: x.At, Op: x.Op, OpAt: x.OpAt, X: bare(x.X), Y: bare(x.Y)}
	case *syntax.Unary:
		return &syntax.Unary{At: x.At, Op: x.Op, X: bare(x.X)}
	case *syntax.In:
		return &syntax.In{At: x.At, X: bare(x.X), Domain: x.Domain}
	}
	return e
}

func bares(es []syntax.Expr) []syntax.Expr {
	out := make([]syntax.Expr, len(es))
	for i, e := range es {
		out[i] = bare(e)
	}
	return out
}
