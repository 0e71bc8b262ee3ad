package sheet_test

import (
	"context"
	"fmt"
	"os"
	"path/filepath"

	"perch/lang/sheet"
	"perch/parts/shop"
)

// Three key shelves in one size, nested on the shop's sheets into a folder.
func Example() {
	dir, err := os.MkdirTemp("", "sheets")
	if err != nil {
		fmt.Println(err)
		return
	}
	defer os.RemoveAll(dir)
	orders, _ := sheet.ParseOrders([]string{"../../examples/tutorial/4_hooks.perch:hall*3"})
	job := sheet.Nesting{Orders: orders, Shop: shop.Default(), Spacing: 6, Margin: 8, Steps: 90, Effort: 0.1}
	report, told, err := job.Run(context.Background(), dir)
	if err != nil || len(told) > 0 {
		fmt.Println(err, told)
		return
	}
	for _, s := range report.Sheets {
		fmt.Printf("%s: %s; %s used\n", s.Stock, s.Said, sheet.Percent(s.Used))
	}
	fmt.Println(report.Total.Count, "blanks")
	_, err = os.Stat(filepath.Join(dir, "sheet-1", "sheet-1.dxf"))
	fmt.Println(err == nil)
	// Output:
	// mild_steel 1.5 mm, 2500 × 1250 mm: 12 of 12 blanks, 6 of 6 inside cuts, 30 of 30 nicks, each once; 4.4 % used
	// 12 blanks
	// true
}
