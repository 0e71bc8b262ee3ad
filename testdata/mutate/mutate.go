//go:build ignore

// Mutate asks how much a room's tests notice: it draws places in its source with a fixed
// seed, changes one at a time (a comparison, a sign, a number, a condition, a call), builds
// the room's own tests with that change and runs them as -short does. Tests that fail,
// panic or run longer than the limit have killed the mutant; the others are printed with
// their place, to be looked at: a test is missing, or the change means nothing.
//
//	go run testdata/mutate/mutate.go -n 200 -seed 1 ./parts/plane ./parts/bend
//
// Nothing is written to the tree: the changed file is laid over it (go build -overlay). The
// limit is of processor time, so that a busy machine kills nothing.
package main

import (
	"bytes"
	"encoding/json"
	"flag"
	"fmt"
	"go/ast"
	"go/parser"
	"go/token"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"sort"
	"strconv"
	"strings"
	"time"
)

// site is a place in a file and what stands there instead.
type site struct {
	room, file string
	line       int
	from, to   int // bytes
	was, is    string
}

func main() {
	n := flag.Int("n", 200, "mutants drawn, over all rooms alike by their places")
	seed := flag.Uint64("seed", 1, "of the draw")
	limit := flag.Int("limit", 60, "seconds of processor time for one mutant's tests")
	first := flag.Int("from", 0, "number of the first mutant that is tried")
	flag.Parse()
	var sites []site
	for _, room := range flag.Args() {
		s, err := sitesOf(room)
		if err != nil {
			fatal(err)
		}
		fmt.Printf("%s: %d places\n", room, len(s))
		sites = append(sites, s...)
		if out, err := try(room, "", *limit); err != nil {
			fatal(fmt.Errorf("%s fails as it is: %w\n%s", room, err, out))
		}
	}
	rnd := rand.New(rand.NewPCG(*seed, 0))
	rnd.Shuffle(len(sites), func(i, k int) { sites[i], sites[k] = sites[k], sites[i] })
	killed, lived := map[string]int{}, map[string]int{}
	for k, s := range sites {
		if k >= *n+*first || k < *first {
			continue
		}
		verdict := run(s, *limit)
		switch verdict {
		case "does not compile":
			*n++ // no mutant: another is drawn
		case "SURVIVED":
			lived[s.room]++
		default:
			killed[s.room]++
		}
		fmt.Printf("%3d %s:%d: %s → %s: %s\n", k, s.file, s.line, s.was, s.is, verdict)
	}
	total, all := 0, 0
	for _, room := range flag.Args() {
		k, l := killed[room], lived[room]
		fmt.Printf("%s: %d of %d killed\n", room, k, k+l)
		total, all = total+k, all+k+l
	}
	fmt.Printf("%d of %d killed: %.1f %%\n", total, all, 100*float64(total)/float64(max(1, all)))
}

func fatal(err error) {
	fmt.Fprintln(os.Stderr, err)
	os.Exit(1)
}

// run builds and runs the tests of a mutant and says what became of it.
func run(s site, limit int) string {
	src, err := os.ReadFile(s.file)
	if err != nil {
		fatal(err)
	}
	dir, err := os.MkdirTemp("", "mutant")
	if err != nil {
		fatal(err)
	}
	defer os.RemoveAll(dir)
	changed := filepath.Join(dir, "mutant.go")
	text := append(append(bytes.Clone(src[:s.from]), s.is...), src[s.to:]...)
	if err := os.WriteFile(changed, text, 0o666); err != nil {
		fatal(err)
	}
	full, err := filepath.Abs(s.file)
	if err != nil {
		fatal(err)
	}
	overlay, err := json.Marshal(map[string]any{"Replace": map[string]string{full: changed}})
	if err != nil {
		fatal(err)
	}
	list := filepath.Join(dir, "overlay.json")
	if err := os.WriteFile(list, overlay, 0o666); err != nil {
		fatal(err)
	}
	switch out, err := try(s.room, list, limit); {
	case err == nil:
		return "SURVIVED"
	case err == errBuild:
		return "does not compile"
	case bytes.Contains(out, []byte("panic: ")):
		return "killed by a panic"
	case bytes.Contains(out, []byte("--- FAIL")):
		return "killed"
	}
	return "killed by the limit"
}

var errBuild = fmt.Errorf("does not compile")

// try builds a room's tests, with a file laid over the tree, and runs them.
func try(room, overlay string, limit int) ([]byte, error) {
	dir, err := os.MkdirTemp("", "tests")
	if err != nil {
		fatal(err)
	}
	defer os.RemoveAll(dir)
	program := filepath.Join(dir, "room.test")
	args := []string{"test", "-c", "-vet=off", "-o", program}
	if overlay != "" {
		args = append(args, "-overlay", overlay)
	}
	if out, err := exec.Command("go", append(args, room)...).CombinedOutput(); err != nil {
		return out, errBuild
	}
	sh := fmt.Sprintf("ulimit -t %d; exec %q -test.short -test.failfast -test.timeout %ds", limit, program, 20*limit)
	cmd := exec.Command("sh", "-c", sh)
	cmd.Dir = room
	cmd.WaitDelay = time.Second
	return cmd.CombinedOutput()
}

// sitesOf lists the places of a room in order.
func sitesOf(room string) ([]site, error) {
	files, err := filepath.Glob(filepath.Join(room, "*.go"))
	if err != nil {
		return nil, err
	}
	sort.Strings(files)
	var sites []site
	for _, f := range files {
		if strings.HasSuffix(f, "_test.go") {
			continue
		}
		src, err := os.ReadFile(f)
		if err != nil {
			return nil, err
		}
		set := token.NewFileSet()
		tree, err := parser.ParseFile(set, f, src, 0)
		if err != nil {
			return nil, err
		}
		add := func(from, to token.Pos, is string) {
			a, b := set.Position(from), set.Position(to)
			was := string(src[a.Offset:b.Offset])
			sites = append(sites, site{room, f, a.Line, a.Offset, b.Offset, was, strings.ReplaceAll(is, itself, was)})
		}
		ast.Inspect(tree, func(n ast.Node) bool { return look(n, add) })
	}
	return sites, nil
}

// itself stands for what was there.
const itself = "\x00"

// swapped are operators with what stands in their place.
var swapped = map[token.Token]string{
	token.LSS: "<=", token.LEQ: "<", token.GTR: ">=", token.GEQ: ">", token.EQL: "!=", token.NEQ: "==",
	token.ADD: "-", token.SUB: "+", token.MUL: "/", token.QUO: "*", token.LAND: "||", token.LOR: "&&",
	token.ADD_ASSIGN: "-=", token.SUB_ASSIGN: "+=", token.MUL_ASSIGN: "/=", token.INC: "--", token.DEC: "++",
}

// negated are comparisons with what holds where they don't.
var negated = map[token.Token]string{token.LSS: ">=", token.LEQ: ">", token.GTR: "<=", token.GEQ: "<"}

// counts tells whether an operand is a whole number by its looks.
func counts(x ast.Expr) bool {
	switch x := x.(type) {
	case *ast.BasicLit:
		return x.Kind == token.INT && x.Value != "0"
	case *ast.CallExpr:
		f, ok := x.Fun.(*ast.Ident)
		return ok && f.Name == "len"
	}
	return false
}

// swappedNames are functions and values with what stands in their place.
var swappedNames = map[string]string{"min": "max", "max": "min", "Min": "Max", "Max": "Min", "Floor": "Ceil", "Ceil": "Floor", "Sin": "Cos", "Cos": "Sin", "true": "false", "false": "true"}

// look adds what can be changed about a node; false where nothing inside it is looked at.
func look(n ast.Node, add func(from, to token.Pos, is string)) bool {
	switch n := n.(type) {
	case *ast.GenDecl:
		return n.Tok != token.IMPORT && n.Tok != token.TYPE
	case *ast.CallExpr:
		if f, ok := n.Fun.(*ast.SelectorExpr); ok && f.Sel.Name == "Inf" {
			return false // its number counts by its sign alone
		}
	case *ast.BinaryExpr:
		is, ok := swapped[n.Op]
		if other, compares := negated[n.Op]; compares && !counts(n.X) && !counts(n.Y) {
			is = other // of measured numbers the end itself means nothing
		}
		if ok {
			add(n.OpPos, n.OpPos+token.Pos(len(n.Op.String())), is)
		}
	case *ast.AssignStmt:
		if is, ok := swapped[n.Tok]; ok {
			add(n.TokPos, n.TokPos+token.Pos(len(n.Tok.String())), is)
		}
	case *ast.IncDecStmt:
		add(n.TokPos, n.TokPos+2, swapped[n.Tok])
	case *ast.UnaryExpr:
		if n.Op == token.SUB || n.Op == token.NOT {
			add(n.OpPos, n.OpPos+1, "")
		}
	case *ast.IfStmt:
		add(n.Cond.Pos(), n.Cond.End(), "true || ("+itself+")")
		add(n.Cond.Pos(), n.Cond.End(), "false && ("+itself+")")
	case *ast.BasicLit:
		if is := number(n); is != "" {
			add(n.Pos(), n.End(), is)
		}
	case *ast.Ident:
		if is, ok := swappedNames[n.Name]; ok {
			add(n.Pos(), n.End(), is)
		}
	case *ast.BranchStmt:
		if n.Label == nil && n.Tok == token.CONTINUE {
			add(n.Pos(), n.End(), "break")
		}
	}
	return true
}

// number is another than a literal: the next whole one, or one more by a fiftieth.
func number(n *ast.BasicLit) string {
	switch n.Kind {
	case token.INT:
		if v, err := strconv.ParseInt(n.Value, 0, 64); err == nil {
			return strconv.FormatInt(v+1, 10)
		}
	case token.FLOAT:
		if v, err := strconv.ParseFloat(n.Value, 64); err == nil && v != 0 {
			return strconv.FormatFloat(v*1.02, 'g', -1, 64)
		}
	}
	return ""
}
