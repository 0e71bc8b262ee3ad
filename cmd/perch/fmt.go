package main

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"perch/lang/diag"
	"perch/lang/explain"
	"perch/lang/format"
	"perch/lang/load"
)

type fmtCmd struct {
	Paths []string `arg:"" optional:"" help:"Designs, or folders to look through for them. None or - reads standard input." placeholder:"PATH"`
	Check bool     `help:"Write nothing; exit 1 where a file is not in canonical form."`
	Diff  bool     `short:"d" help:"Write nothing; show what would change, and exit 1 where something would."`
}

func (c *fmtCmd) Run(s *session) error {
	if len(c.Paths) == 0 || len(c.Paths) == 1 && c.Paths[0] == "-" {
		b, err := io.ReadAll(os.Stdin)
		if err != nil {
			return fmt.Errorf("cannot read standard input: %w", err)
		}
		return c.one(s, "standard input", string(b), func(text string) error {
			_, err := io.WriteString(s.out, text)
			return err
		})
	}
	files, err := designs(c.Paths)
	if err != nil {
		return err
	}
	var worst error
	for _, f := range files {
		was, err := load.Plain(f)
		if err != nil {
			return fmt.Errorf("cannot read %s: %w", f, err)
		}
		err = c.one(s, f, was, func(text string) error {
			if text == was {
				return nil
			}
			return putFile(f, text)
		})
		var code exit
		switch {
		case errors.As(err, &code):
			worst = err
		case err != nil:
			return err
		}
	}
	return worst
}

// one formats a text and hands it to write, or tells what would change.
func (c *fmtCmd) one(s *session, name, text string, write func(string) error) error {
	out, diags := format.Source(diag.NewSource(filepath.ToSlash(name), text))
	if diag.HasErrors(diags) {
		return s.tell(diags, false)
	}
	if !c.Check && !c.Diff {
		return write(out)
	}
	if out == text {
		return nil
	}
	if c.Diff {
		fmt.Fprint(s.out, format.Diff(filepath.ToSlash(name), text, out))
	} else {
		fmt.Fprintln(s.out, name)
	}
	return exit(exitMistake)
}

// designs lists the files that paths stand for: files as they are, and every
// .perch file below a folder, in order.
func designs(paths []string) ([]string, error) {
	var out []string
	for _, p := range paths {
		st, err := os.Stat(p)
		var why *fs.PathError
		if errors.As(err, &why) {
			return nil, fmt.Errorf("cannot read %s: %w", p, why.Err)
		} else if err != nil {
			return nil, err
		}
		if !st.IsDir() {
			out = append(out, p)
			continue
		}
		err = filepath.WalkDir(p, func(path string, d fs.DirEntry, err error) error {
			if err != nil {
				return err
			}
			if d.IsDir() && path != p && strings.HasPrefix(d.Name(), ".") {
				return filepath.SkipDir
			}
			if d.Type().IsRegular() && strings.HasSuffix(path, ".perch") {
				out = append(out, path)
			}
			return nil
		})
		if err != nil {
			return nil, err
		}
	}
	return out, nil
}

type explainCmd struct {
	Code string `arg:"" optional:"" help:"A diagnostic's code, such as P3001. None lists them all." placeholder:"CODE"`
}

func (c *explainCmd) Run(s *session) error {
	if c.Code == "" {
		for _, code := range explain.Codes() {
			p, _ := explain.Get(code)
			fmt.Fprintf(s.out, "%s  %s\n", code, p.Title)
		}
		return nil
	}
	p, ok := explain.Get(strings.ToUpper(c.Code))
	if !ok {
		return fmt.Errorf("there is no code %s; perch explain lists them", c.Code)
	}
	_, err := io.WriteString(s.out, p.String())
	return err
}
