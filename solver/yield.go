package solver

// yield looks for the nearest targets at which the Abouts leave a solution.
func (w *scratch) yield(q *query, o *outcome) (*query, *outcome) { return q, o }
