package main

import (
	"fmt"
	"io"
	"strings"

	"perch/lang/diag"
	"perch/lang/syntax"
	"perch/stdlib"
)

type libraryCmd struct {
	Module string `arg:"" optional:"" help:"A module, such as std.stool. None lists them all." placeholder:"MODULE"`
}

// Run prints the text of a module of the library, or the panels that each module holds.
func (c *libraryCmd) Run(s *session) error {
	if c.Module != "" {
		_, text, err := stdlib.Module(c.Module)
		if err != nil {
			return err
		}
		_, err = io.WriteString(s.out, text)
		return err
	}
	for _, m := range stdlib.Modules() {
		name, text, err := stdlib.Module(m)
		if err != nil {
			return err
		}
		file, _ := syntax.Parse(diag.NewSource(name, text))
		var panels []string
		for _, st := range file.Stmts {
			if p, ok := st.(*syntax.Panel); ok {
				panels = append(panels, p.Name.Name)
			}
		}
		fmt.Fprintf(s.out, "%s  %s\n", m, strings.Join(panels, " "))
	}
	return nil
}
