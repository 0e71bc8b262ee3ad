package panel

import (
	"flag"
	"os"
	"testing"
)

// TestMain draws three times as many cases as the library does by itself: they take a second.
func TestMain(m *testing.M) {
	if err := flag.Set("rapid.checks", "300"); err != nil {
		panic(err)
	}
	os.Exit(m.Run())
}
