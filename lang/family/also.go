package family

import (
	"fmt"
	"strings"

	"perch/lang/diag"
	"perch/parts/output"
	"perch/parts/shop"
	"perch/parts/spelling"
)

// Also adds kinds of files by name to those that the shop has written anyway; a name of no
// kind is a mistake.
func Also(opt *output.Options, names []string) (diags []diag.Diagnostic) {
	for _, n := range names {
		k, ok := shop.KindOf(strings.ToLower(n))
		if ok {
			opt.Also = shop.With(opt.Also, k)
			continue
		}
		d := diag.Diagnostic{Code: "P7011", Severity: diag.Error, Summary: fmt.Sprintf("there is no kind of file called %q", n),
			Notes: []string{"the kinds are " + strings.Join(shop.Kinds, ", ")}}
		if meant := spelling.Nearest(strings.ToLower(n), shop.Kinds); meant != "" {
			d.Notes = []string{fmt.Sprintf("write --also %s; the kinds are %s", meant, strings.Join(shop.Kinds, ", "))}
		}
		diags = append(diags, d)
	}
	return diags
}
