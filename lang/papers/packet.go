package papers

import (
	"context"
	"strings"

	"perch/lang/build"
	"perch/lang/diag"
	"perch/lang/sheet"
	"perch/parts/brake"
	"perch/parts/joining"
	"perch/parts/packet"
	"perch/parts/paper"
	"perch/parts/tolerance"
)

// PacketFile is the name of all pages of a size in its folder.
const PacketFile = "packet.pdf"

// Packet makes all pages of a size. Where its blanks can't be nested, or no sheet is told to cut
// them from, the pages tell that, and the others are there.
func (j Job) Packet(ctx context.Context, r *build.Result) (*paper.Document, error) {
	doc := j.document(r)
	pages, err := j.pages(r)
	if err != nil {
		return nil, err
	}
	together := joining.New(r.Assembly, j.Shop)
	fits := tolerance.NewView(r.Assembly, j.Shop)
	p := &packet.Packet{Job: pages, Plans: brake.All(r.Assembly, j.Shop), Together: &together, Fits: &fits}
	if p.Loads, err = j.loads(ctx, r); err != nil {
		return nil, err
	}
	planned, err := j.nest(ctx, r, p)
	if err != nil {
		return nil, err
	}
	p.Costs = j.costs(r, planned)
	return doc, p.Add(doc)
}

// nest lays one piece on sheets and plans the cuts.
func (j Job) nest(ctx context.Context, r *build.Result, p *packet.Packet) ([]sheet.Planned, error) {
	n := sheet.OnePiece(j.File, r, j.Shop, j.Asked)
	planned, diags, err := n.Plan(ctx)
	if err != nil {
		return nil, err
	}
	for _, d := range diags {
		if d.Severity == diag.Error {
			p.Why = "The blanks are not laid on sheets: " + strings.ReplaceAll(d.Summary, "_", " ") + "."
			return nil, nil
		}
	}
	for _, s := range planned {
		if s.Plan == nil {
			continue
		}
		of := packet.Sheet{Plan: s.Plan, Stock: strings.ReplaceAll(s.Told.In(p.Paper.System), "_", " "), Used: s.Used, Remnant: s.Remnant}
		if n.Profile != nil {
			of.Program = s.Plan.Sheet.Name + ".nc, as perch nest writes it"
			if feed, ok := n.Profile.FeedFor(s.Plan.Sheet.Material, s.Plan.Sheet.Thickness); ok {
				of.Feed = p.Paper.Fine(feed) + p.Paper.Unit() + "/min"
			}
		}
		p.Sheets = append(p.Sheets, of)
	}
	p.Why = "Sheets as perch nest lays one piece where nothing else is said. For several pieces, or from remnants, nest them together and take that job's sheets."
	return planned, nil
}
