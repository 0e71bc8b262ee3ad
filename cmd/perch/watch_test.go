package main

import (
	"bytes"
	"context"
	"os"
	"strings"
	"sync"
	"testing"
	"time"
)

// lines is a writer that can be read while it is written to.
type lines struct {
	mu sync.Mutex
	b  bytes.Buffer
}

func (l *lines) Write(p []byte) (int, error) {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.b.Write(p)
}

func (l *lines) String() string {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.b.String()
}

// Not on a terminal, watch writes plain lines, one report below the other, and
// ends without a complaint.
func TestWatchPlainly(t *testing.T) {
	text, err := os.ReadFile(examplesFolder + "/tote/tote.perch")
	if err != nil {
		t.Fatal(err)
	}
	t.Chdir(t.TempDir())
	save(t, "tote.perch", string(text))
	var out lines
	ctx, stop := context.WithCancel(context.Background())
	ended := make(chan error)
	go func() {
		c := watchCmd{File: "tote.perch", Out: "out", Unit: "mm"}
		ended <- c.watch(ctx, &session{out: &out, err: &out})
	}()
	says := func(what string) {
		t.Helper()
		for end := time.Now().Add(10 * time.Second); !strings.Contains(out.String(), what); time.Sleep(5 * time.Millisecond) {
			if time.Now().After(end) {
				t.Fatalf("it does not say %q but\n%s", what, out.String())
			}
		}
	}
	says("  truing_stand: 1 piece of 1 blank, 3 files written\n")
	save(t, "tote.perch", string(text)+"par")
	says("tote.perch: nothing built, out/tote is as it was\n")
	save(t, "tote.perch", string(text)+"// done\n")
	says("  truing_stand: 1 piece of 1 blank, as before\n")
	if err := os.Remove("tote.perch"); err != nil {
		t.Fatal(err)
	}
	says("tote.perch is gone; it is waited for\n")
	stop()
	if err := <-ended; err != nil {
		t.Errorf("it ends with %v", err)
	}
	if strings.Contains(out.String(), "\x1b") {
		t.Errorf("control characters to no terminal:\n%q", out.String())
	}
	if code, _, errs := perchIn(t, "watch", "tote.perch"); code != exitTrouble || !strings.Contains(errs, "there is no file tote.perch") {
		t.Errorf("a design that is not there: exit %d, %s", code, errs)
	}
}
