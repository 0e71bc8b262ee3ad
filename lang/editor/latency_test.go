package editor_test

import (
	"encoding/json"
	"fmt"
	"math/rand"
	"runtime"
	"slices"
	"strings"
	"syscall"
	"testing"
	"time"

	"go.lsp.dev/protocol"
	"go.lsp.dev/uri"

	"perch/lang/editor"
)

// long is a design of about n lines without a mistake.
func long(n int) string {
	const each = 19 // lines of one round
	var b strings.Builder
	b.WriteString("design \"long\"\n\nuse corner_leg from std.stool\n\nstock shell = sheet(mild_steel, 1.5mm)\nbody frame = frustum(top: 300mm, bottom: 400mm, height: 600mm)\npart first[c in frame.corners] of shell = corner_leg(c)\n")
	for i := 0; i*each < n; i++ {
		fmt.Fprintf(&b, `param w%[1]d: length in 10mm..900mm = 100mm "a width"
param a%[1]d: angle in 0deg..90deg about 6deg
let half%[1]d = w%[1]d / 2 + 3mm * sin(a%[1]d)
rule half%[1]d >= 10mm and w%[1]d < 2 * half%[1]d + 900mm "fits"
panel leg%[1]d(
  c: corner "where",
  toe: length = 40mm "width",
) "A leg." {
  let top = c.height - 3mm
  face cheek[s in c.sides] on s from c {
    outline [(0mm, 0mm), (toe, 0mm) round 3mm, (toe, top), (0mm, top) edge back_edge]
    cut hole[i in 1..3] = circle(4mm) at (toe / 2, i * 40mm) if i > 1
  }
  fold cheek[c.left] to cheek[c.right] by bend(relief: round)
}
part p%[1]d[c in frame.corners] of shell = leg%[1]d(c, toe: half%[1]d)
join j%[1]d = p%[1]d.cheek to p%[1]d.cheek by rivet(4mm, pitch: 40mm)
size z%[1]d: w%[1]d = 120mm // a size

`, i)
	}
	return b.String()
}

// typist makes random edits: it types a character, takes one out, breaks a
// statement or opens a line, and every second time undoes what it did.
type typist struct {
	rnd  *rand.Rand
	text string
	undo func() (from, to int, put string)
}

func (y *typist) next() (from, to int, put string) {
	if y.undo != nil {
		from, to, put = y.undo()
		y.undo = nil
	} else {
		from = y.rnd.Intn(len(y.text))
		to = from
		switch y.rnd.Intn(4) {
		case 0:
			put = string("abc 0.,("[y.rnd.Intn(8)])
		case 1:
			to = min(from+1+y.rnd.Intn(3), len(y.text))
		case 2:
			put = []string{"let x = ", "mm", "\n", "param q: length = 3mm\n", "face", "}", "{"}[y.rnd.Intn(7)]
		case 3:
			to, put = min(from+1, len(y.text)), "e"
		}
		was, end := y.text[from:to], from+len(put)
		at := from
		y.undo = func() (int, int, string) { return at, end, was }
	}
	y.text = y.text[:from] + put + y.text[to:]
	return from, to, put
}

// session is a long design open in a service, to be typed into.
type session struct {
	c       *client
	y       typist
	u       uri.URI
	version int
}

func newSession(t testing.TB, lines int) *session {
	s := &session{c: start(t, editor.Options{Pause: 1 << 40}), u: "untitled:long", version: 1,
		y: typist{rnd: rand.New(rand.NewSource(1)), text: long(lines)}}
	s.c.initialize("")
	s.c.open(s.u, s.y.text)
	<-s.c.fresh
	return s
}

// edit makes one edit and waits for its diagnostics.
func (s *session) edit(t testing.TB) json.RawMessage {
	x := lines(s.y.text)
	from, to, put := s.y.next()
	s.version++
	s.c.notify("textDocument/didChange", map[string]any{
		"textDocument":   map[string]any{"uri": s.u, "version": s.version},
		"contentChanges": []any{map[string]any{"range": protocol.Range{Start: x.at(from), End: x.at(to)}, "text": put}}})
	for {
		got := <-s.c.fresh
		var p struct{ Version int }
		if err := json.Unmarshal(got, &p); err != nil {
			t.Fatal(err)
		}
		if p.Version == s.version {
			return got
		}
	}
}

// lines finds places in ASCII text.
type lines string

func (x lines) at(i int) protocol.Position {
	head := string(x[:i])
	return protocol.Position{Line: uint32(strings.Count(head, "\n")), Character: uint32(i - strings.LastIndexByte(head, '\n') - 1)}
}

// BenchmarkEdit measures from an edit in a design of 2,000 lines, sent by the
// client, to the arrival of the diagnostics of that version: a thousand random
// edits a round, their median, 99th percentile and largest in milliseconds; and
// the same of the processor time that client and service took together, which
// other work on the machine does not change.
func BenchmarkEdit(b *testing.B) {
	s := newSession(b, 2000)
	for b.Loop() {
		took, worked := make([]time.Duration, 1000), make([]time.Duration, 1000)
		for i := range took {
			at, before := time.Now(), cpu()
			s.edit(b)
			took[i], worked[i] = time.Since(at), cpu()-before
		}
		report := func(ds []time.Duration, unit string) {
			slices.Sort(ds)
			for name, d := range map[string]time.Duration{"p50": ds[500], "p99": ds[990], "max": ds[999]} {
				b.ReportMetric(float64(d.Microseconds())/1000, name+unit)
			}
		}
		report(took, "-ms")
		report(worked, "-cpu-ms")
	}
}

// cpu is the processor time of this process so far.
func cpu() time.Duration {
	var u syscall.Rusage
	if syscall.Getrusage(syscall.RUSAGE_SELF, &u) != nil {
		return 0
	}
	return time.Duration(u.Utime.Nano() + u.Stime.Nano())
}

// BenchmarkStart measures from Serve to the answer to initialize.
func BenchmarkStart(b *testing.B) {
	for b.Loop() {
		c := start(b, editor.Options{})
		c.initialize("")
	}
}

// TestMemoryFlat wants the heap no larger after many edits than after a few.
func TestMemoryFlat(t *testing.T) {
	if testing.Short() {
		t.Skip("a thousand edits take seconds")
	}
	s := newSession(t, 2000)
	heap := func(edits int) uint64 {
		for range edits {
			s.edit(t)
		}
		runtime.GC()
		runtime.GC()
		var m runtime.MemStats
		runtime.ReadMemStats(&m)
		return m.HeapAlloc
	}
	few, many := heap(100), heap(900)
	t.Logf("heap after 100 edits %d kB, after 1000 edits %d kB", few>>10, many>>10)
	const slack = 2 << 20
	if many > few+few/4+slack {
		t.Errorf("the heap grew from %d to %d bytes", few, many)
	}
}
