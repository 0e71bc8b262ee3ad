package main

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"strings"
	"unicode"
	"unicode/utf8"

	"perch/examples"
	"perch/lang/diag"
	"perch/lang/syntax"
	"perch/parts/measure"
	"perch/parts/output"
)

type newCmd struct {
	Name string `arg:"" help:"The new design's name: a word of letters, digits, _ and -. It goes to NAME.perch here."`
	Like string `help:"Start from an example, such as stool or bench, in place of a small stool explained line by line." placeholder:"EXAMPLE"`
	Unit string `enum:"mm,in," default:"" help:"Units that the design is in: mm or in. Default: mm, or the example's." placeholder:"UNIT"`
}

// maxName is the length, in bytes, of a design's name.
const maxName = 100

func (c *newCmd) Run(s *session) error {
	name, err := designName(c.Name)
	if err != nil {
		return err
	}
	system, stated := measure.Named(c.Unit)
	text := examples.Starter(system)
	if c.Like != "" {
		var ok bool
		if text, ok = examples.Text(c.Like); !ok {
			return fmt.Errorf("there is no example %s; %sthere are %s", c.Like, meant(c.Like, examples.Names()), strings.Join(examples.Names(), ", "))
		}
	}
	file := name + ".perch"
	if err := writeNew(file, titled(text, name, system, stated)); err != nil {
		return err
	}
	fmt.Fprintf(s.out, "wrote %s\nbuild it: perch build %s\n%s\n", file, file, caution)
	return nil
}

// designName checks a name that becomes a file's on any system; .perch behind it
// is taken as given.
func designName(arg string) (string, error) {
	name := strings.TrimSuffix(arg, ".perch")
	first, _ := utf8.DecodeRuneInString(name)
	bad := strings.IndexFunc(name, func(r rune) bool {
		return !unicode.IsLetter(r) && !unicode.IsDigit(r) && r != '_' && r != '-' || r == utf8.RuneError
	})
	switch {
	case name == "":
		return "", errors.New("a design has a name")
	case strings.ContainsAny(name, `/\`):
		return "", fmt.Errorf("%q is a path; a new design is made in this folder", arg)
	case bad >= 0:
		return "", fmt.Errorf("%q is no name: letters, digits, _ and - only", arg)
	case !unicode.IsLetter(first):
		return "", fmt.Errorf("%q is no name: it starts with a letter", arg)
	case len(name) > maxName:
		return "", fmt.Errorf("the name is %d bytes long; %d at the most", len(name), maxName)
	case output.DeviceName(name):
		return "", fmt.Errorf("%q is a device's name on some systems", arg)
	}
	return name, nil
}

// titled gives a design text its name and, where they are stated, its units, and starts
// its revisions at A.
func titled(text, name string, system measure.System, stated bool) string {
	src := diag.NewSource("example", text)
	file, _ := syntax.Parse(src)
	d := file.Design
	if d == nil {
		return text
	}
	title := strings.NewReplacer("_", " ", "-", " ").Replace(name)
	r, size := utf8.DecodeRuneInString(title)
	title = string(unicode.ToUpper(r)) + title[size:]
	if d.Revision != nil {
		text = text[:d.Revision.At.Start] + syntax.Quote("A") + text[d.Revision.At.End:]
	}
	if stated && d.Units != nil {
		text = text[:d.Units.At.Start] + system.String() + text[d.Units.At.End:]
	}
	return text[:d.Name.At.Start] + syntax.Quote(title) + text[d.Name.At.End:]
}

// writeNew writes a file that is not there yet.
func writeNew(name, text string) error {
	f, err := os.OpenFile(name, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o666)
	if errors.Is(err, fs.ErrExist) {
		return fmt.Errorf("%s is there already; it is left alone", name)
	}
	if err != nil {
		return fmt.Errorf("cannot write %s: %w", name, err)
	}
	_, err = f.WriteString(text)
	return errors.Join(err, f.Close())
}
