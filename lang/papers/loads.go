package papers

import (
	"context"
	"errors"

	"perch/lang/build"
	"perch/parts/strength"
)

// loads estimates what the loads that the design names do to a size: nil where it names none, or
// where no estimate can be made, which perch strength tells of.
func (j Job) loads(ctx context.Context, r *build.Result) (*strength.Report, error) {
	if len(r.Made.Loads()) == 0 {
		return nil, nil
	}
	report, err := strength.Of(ctx, r.Assembly, r.Flats, r.Cases(), r.Estimating(j.Shop))
	var e *strength.Error
	if err != nil && ctx.Err() == nil && errors.As(err, &e) {
		return nil, nil
	}
	return report, err
}
