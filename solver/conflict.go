package solver

// none makes the Result of an outcome without solutions.
func (w *scratch) none(q *query, o *outcome) Result {
	r := Result{Status: None, Values: make([]float64, len(w.p.vars)), Origins: make([]Origin, len(w.p.vars))}
	for i := range r.Values {
		r.Values[i] = nan
		r.Origins[i].By = -1
	}
	return r
}
