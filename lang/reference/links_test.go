package reference_test

import (
	"os"
	"path"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
)

// link finds the targets of links and pictures.
var link = regexp.MustCompile(`\]\(([^)\s]+)\)`)

// fenced are blocks of code, whose lines are neither headings nor links.
var fenced = regexp.MustCompile("(?ms)^```.*?^```$")

// anchors are what a link can lead to within a text: its headings.
func anchors(text string) map[string]bool {
	out := map[string]bool{}
	for _, h := range regexp.MustCompile(`(?m)^#+ (.*)$`).FindAllStringSubmatch(fenced.ReplaceAllString(text, ""), -1) {
		a := strings.ToLower(strings.ReplaceAll(h[1], " ", "-"))
		out[regexp.MustCompile(`[^\p{L}\p{N}_-]`).ReplaceAllString(a, "")] = true
	}
	return out
}

// TestLinks asks that every link and picture within the project leads somewhere,
// to a heading too, and that every guide is reached from the one at the top.
func TestLinks(t *testing.T) {
	names := guides(t)
	leads := map[string][]string{} // the guides that a guide links to
	for _, name := range names {
		for _, l := range link.FindAllStringSubmatch(fenced.ReplaceAllString(guide(t, name), ""), -1) {
			to, anchor, _ := strings.Cut(l[1], "#")
			if strings.Contains(to, "://") {
				continue
			}
			target := name
			if to != "" {
				target = path.Join(path.Dir(name), to)
			}
			if _, err := os.Stat(filepath.Join(root, target)); err != nil {
				t.Errorf("%s: a link leads nowhere: %s", name, l[1])
				continue
			}
			leads[name] = append(leads[name], target)
			if anchor != "" && !anchors(guide(t, target))[anchor] {
				t.Errorf("%s: a link leads to no heading: %s", name, l[1])
			}
		}
	}
	reached := map[string]bool{}
	for next := []string{readme}; len(next) > 0; next = next[1:] {
		if n := next[0]; !reached[n] {
			reached[n] = true
			next = append(next, leads[n]...)
		}
	}
	for _, name := range names {
		if !reached[name] {
			t.Errorf("no link leads from README.md to %s", name)
		}
	}
}

// TestTenMinutes holds the first page to what is read in ten minutes, at 200 words
// a minute, code and all.
func TestTenMinutes(t *testing.T) {
	if words := len(strings.Fields(guide(t, readme))); words > 2000 {
		t.Errorf("README.md has %d words: more than ten minutes' reading", words)
	}
}
