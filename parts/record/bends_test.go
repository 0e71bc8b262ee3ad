package record_test

import (
	"bytes"
	"math"
	"strings"
	"testing"

	"github.com/santhosh-tekuri/jsonschema/v6"

	"perch/parts/brake"
	"perch/parts/measure"
	"perch/parts/panel"
	"perch/parts/record"
	"perch/parts/shop"
)

func bends(t testing.TB, a *panel.Assembly, s *shop.Shop) []byte {
	t.Helper()
	var out bytes.Buffer
	if err := record.WriteBends(&out, a, brake.All(a, s), s.Brake, measure.Millimetres); err != nil {
		t.Fatal(err)
	}
	return out.Bytes()
}

// Plans and refusals, on both kinds of brake, are what the schema says, and the schema
// lets nothing else pass.
func TestBendPlansMeetTheirSchema(t *testing.T) {
	schema := compiled(t, record.BendsSchema)
	press, low := shop.Default(), shop.Default()
	press.Brake.Kind = shop.BrakeVDie
	low.Brake.FingerHeight = 30
	a := stoolAssembly(t)
	var refused string
	for _, s := range []*shop.Shop{shop.Default(), press, low} {
		text := bends(t, a, s)
		doc, err := jsonschema.UnmarshalJSON(bytes.NewReader(text))
		if err != nil {
			t.Fatal(err)
		}
		if err := schema.Validate(doc); err != nil {
			t.Error(err)
		}
		if !bytes.Equal(text, bends(t, a, s)) {
			t.Error("another run writes other bytes")
		}
		refused = string(text)
	}
	if !strings.Contains(refused, `"possible": false`) || !strings.Contains(refused, `"number": "finger_height"`) {
		t.Errorf("under a beam 30 over the sheet all can be bent:\n%s", refused)
	}
	for _, change := range []struct{ from, to string }{
		{`"possible": false`, `"possible": true`}, {`"op": "bend"`, `"op": "hit"`}, {`"at_deg"`, `"at"`},
		{`"kind": "leaf"`, `"kind": "hammer"`}, {`"mirrored": false,`, ``},
	} {
		bad := strings.Replace(refused, change.from, change.to, 1)
		if bad == refused {
			t.Errorf("nothing says %s", change.from)
		}
		doc, err := jsonschema.UnmarshalJSON(strings.NewReader(bad))
		if err == nil && schema.Validate(doc) == nil {
			t.Errorf("the schema lets %s pass", change.to)
		}
	}
}

func TestBendPlansRefuseWhatIsNoNumber(t *testing.T) {
	s := shop.Default()
	b := s.Brake
	b.Lift = math.NaN()
	if err := record.WriteBends(&bytes.Buffer{}, stoolAssembly(t), nil, b, measure.Millimetres); err == nil {
		t.Error("NaN was written")
	}
}
