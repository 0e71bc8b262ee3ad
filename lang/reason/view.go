package reason

import (
	"strings"

	"perch/lang/build"
	"perch/lang/quantity"
)

// View is a chain as it is written to JSON: values in the units of the record.
type View struct {
	Name      string      `json:"name"`
	Value     float64     `json:"value"`
	Unit      string      `json:"unit"`
	By        Said        `json:"by"`
	InsteadOf *Said       `json:"instead_of,omitempty"`
	Yields    *YieldView  `json:"gives_way,omitempty"`
	Choice    *ChoiceView `json:"choice,omitempty"`
	Fit       *FitView    `json:"fit,omitempty"`
	From      []View      `json:"from"`
	Above     bool        `json:"above,omitempty"` // its own reasons were told before
}

// Said is a statement of a chain.
type Said struct {
	Kind  string `json:"kind"`
	Text  string `json:"text"`
	Size  string `json:"size,omitempty"`
	Label string `json:"label,omitempty"`
	Where string `json:"where"`
}

// YieldView is an about that gave way, and to what.
type YieldView struct {
	Said
	Wanted float64 `json:"wanted"`
	To     []Said  `json:"to"`
}

// ChoiceView is how a largest or smallest value was found.
type ChoiceView struct {
	Certainty string `json:"certainty"`
	Proved    bool   `json:"proved"`
	Tried     int    `json:"tried"`
	Fixed     bool   `json:"fixed,omitempty"` // by the rules: there was nothing to choose
	// Beside are names that were open too, with values chosen so that the rules hold.
	Beside []string `json:"beside,omitempty"`
	Stops  []Said   `json:"stopped_by"`
}

func said(s build.Statement) Said {
	return Said{Kind: string(s.Kind), Text: s.Text, Size: s.Size, Label: s.Label, Where: where(s.At)}
}

func allSaid(ss []build.Statement) []Said {
	out := []Said{}
	for _, s := range ss {
		out = append(out, said(s))
	}
	return out
}

// FitView is how a free name was fitted to rules on what is made.
type FitView struct {
	Said
	Name      string `json:"name"`
	Certainty string `json:"certainty"`
	Tried     int    `json:"tried"`
	To        []Said `json:"to"`
}

// View is the chain for JSON.
func (l *Link) View() View {
	v := View{Name: l.Name, By: said(l.By), From: []View{}, Above: l.Seen}
	v.Value, v.Unit = l.Recorded()
	if l.Loses != nil {
		s := said(*l.Loses)
		v.InsteadOf = &s
	}
	if y := l.Yields; y != nil {
		w := ViewYield(*y)
		v.Yields = &w
	}
	if c := l.Choice; c != nil {
		w := ViewChoice(c)
		v.Choice = &w
	}
	if l.Fit != nil {
		w := ViewFit(l.Fit)
		v.Fit = &w
	}
	for _, f := range l.From {
		v.From = append(v.From, f.View())
	}
	return v
}

// ViewYield is a yield for JSON.
func ViewYield(y build.Yield) YieldView {
	v := YieldView{Said: said(y.Statement), To: allSaid(y.To)}
	v.Wanted, _ = y.Wanted.Recorded()
	return v
}

// ViewChoice is a choice for JSON.
func ViewChoice(c *build.Choice) ChoiceView {
	return ChoiceView{Certainty: c.Certainty(), Proved: c.Proved, Tried: c.Tried, Fixed: c.Fixed, Beside: c.Beside, Stops: allSaid(c.Stops)}
}

// ViewFit is a fit for JSON.
func ViewFit(f *build.Fit) FitView {
	return FitView{Said: said(f.By), Name: f.Name, Certainty: f.Certainty(), Tried: f.Tried, To: allSaid(f.To)}
}

// DescribeFit says in a line what a free name was fitted to.
func DescribeFit(f *build.Fit, sys quantity.System) string {
	return f.By.Text + " is " + f.Text(sys) + because(" by ", f.To) + "; " + f.Certainty()
}

// DescribeYield says in a line what gave way, and to what.
func DescribeYield(y build.Yield, sys quantity.System) string {
	return y.Text + " gives way, to " + y.Got.Text(sys) + because("; by ", y.To)
}

// DescribeChoice says in a line how sure a choice is and what stops it.
func DescribeChoice(c *build.Choice, sys quantity.System) string {
	beside := ""
	switch {
	case len(c.Beside) > 0 && c.Fixed:
		return c.By.Text + " is " + c.Text(sys) + because(" by ", c.Stops) + ", which leave nothing to choose; values of " +
			strings.Join(c.Beside, " and ") + " were taken with which the rules hold, not the only ones"
	case len(c.Beside) > 0:
		beside = ", with values of " + strings.Join(c.Beside, " and ") + " chosen for it"
	}
	return c.By.Text + " is " + c.Text(sys) + ", " + c.Certainty() + beside + because("; stopped by ", c.Stops)
}

func because(word string, ss []build.Statement) string {
	var texts []string
	for _, s := range ss {
		texts = append(texts, s.Text)
	}
	if texts == nil {
		return ""
	}
	return word + strings.Join(texts, ", ")
}
