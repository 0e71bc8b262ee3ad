package page_test

import (
	"bytes"
	"fmt"
	"strings"
	"testing"

	"perch/parts/page"
	"perch/parts/record/bracket"
	"perch/parts/scene"
)

func document(t testing.TB) *page.Document {
	t.Helper()
	s, err := scene.New(bracket.Assembly(), nil)
	if err != nil {
		t.Fatal(err)
	}
	return &page.Document{Design: "Bracket", Sizes: []page.Size{{Name: "only", Scene: s, Overall: []page.Fact{{Name: "width", Text: "80 mm"}}}}}
}

// The policy of what is written lets exactly the script and the style run that are in it.
func TestPolicy(t *testing.T) {
	var b bytes.Buffer
	if err := document(t).Write(&b); err != nil {
		t.Fatal(err)
	}
	for _, tag := range []string{"script", "style"} {
		_, rest, _ := strings.Cut(b.String(), "<"+tag+">")
		text, _, ok := strings.Cut(rest, "</"+tag+">")
		if !ok {
			t.Fatalf("no %s", tag)
		}
		if want := page.Hash(text); !strings.Contains(strings.ReplaceAll(strings.ReplaceAll(b.String(), "&#39;", "'"), "&#43;", "+"), tag+"-src "+want) {
			t.Errorf("the policy does not let the page's %s run", tag)
		}
	}
}

func TestWithoutScene(t *testing.T) {
	var b bytes.Buffer
	if err := (&page.Document{Design: "Empty", Sizes: []page.Size{{Name: "only"}}}).Write(&b); err != nil {
		t.Fatal(err)
	}
}

func Example() {
	d := &page.Document{Design: "Tray <1>", Plain: true, Sizes: []page.Size{{Name: "small", Overall: []page.Fact{{Name: "width", Text: "300 mm"}}}}}
	var b bytes.Buffer
	if err := d.Write(&b); err != nil {
		fmt.Println(err)
		return
	}
	_, title, _ := strings.Cut(b.String(), "<title>")
	title, _, _ = strings.Cut(title, "</title>")
	fmt.Println(title, strings.Contains(b.String(), "<dt>width</dt><dd>300 mm</dd>"))
	// Output:
	// Tray &lt;1&gt; true
}
