package solver

func (pl *plan) freeSets() [][]Var { return nil }
