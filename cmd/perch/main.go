// Command perch compiles designs of bent sheet metal: see README.md.
package main

import (
	"errors"
	"fmt"
	"io"
	"os"
	"os/signal"
	"reflect"
	"runtime/debug"
	"strings"
	"syscall"

	"github.com/alecthomas/kong"

	"perch/parts/output"
)

// Exit codes.
const (
	exitDone    = 0 // all went well; there may be warnings
	exitMistake = 1 // the design has mistakes
	exitTrouble = 2 // the command line is wrong, or a file can't be read or written
)

type cli struct {
	Build    buildCmd    `cmd:"" help:"Build every size: flats, pictures, cut list and record."`
	Check    checkCmd    `cmd:"" help:"Report what is wrong and what the shop should know; write nothing."`
	Show     showCmd     `cmd:"" help:"Show the solved values of every size, or one part's flat and bends."`
	Why      whyCmd      `cmd:"" help:"Tell where a value comes from, down to what is stated; of a part or join what it came to."`
	Bends    bendsCmd    `cmd:"" help:"Plan how the blanks are bent on the shop's brake, step by step, or tell what is in the way."`
	Drawing  drawingCmd  `cmd:"" help:"Draw the page of a part's blank: its flat with dimensions, holes and bends, as PDF."`
	Packet   packetCmd   `cmd:"" help:"Make the pages of every size as one PDF: cover, what to buy, sheets, blanks, bending, joining, finish."`
	Sweep    sweepCmd    `cmd:"" help:"Run one or two params over a range: results to a CSV, and to a plot."`
	Nest     nestCmd     `cmd:"" help:"Pack the blanks of designs on sheets and plan the cuts."`
	Mockup   mockupCmd   `cmd:"" help:"Make a paper model of every size as PDF, or full-size patterns for cutting by hand."`
	Strength strengthCmd `cmd:"" help:"Estimate what loads do to every size: sag, sway, yield, rivets, buckling, tipping."`
	Coupon   couponCmd   `cmd:"" help:"Write a test strip to bend, or tell K from strips that were bent and add it to the shop file."`
	Fmt      fmtCmd      `cmd:"" help:"Write designs in canonical form."`
	Explain  explainCmd  `cmd:"" help:"Explain a code: what it means, a wrong and a right example."`
	Library  libraryCmd  `cmd:"" help:"Print a module of the library, or list them all."`
	Diff     diffCmd     `cmd:"" help:"Tell what changed between two states of a design: statements, values, parts, flats."`
	Page     pageCmd     `cmd:"" help:"Write the piece as one page for a browser: in space, to turn, fold and take apart, with flats and values."`
	Stack    stackCmd    `cmd:"" help:"Tell how pieces of a size stand on each other: the pitch, where they bind, how they lean."`
	Watch    watchCmd    `cmd:"" help:"Build again on every save; show what is wrong or what was built."`
	Lsp      lspCmd      `cmd:"" help:"Serve an editor on standard input and output: the Language Server Protocol."`
	New      newCmd      `cmd:"" help:"Write a commented design to start from."`
	Complete completeCmd `cmd:"" help:"Print a script that completes perch's words in a shell."`
	Version  versionCmd  `cmd:"" help:"Print the version."`
}

// session is what every verb needs to talk to the user.
type session struct {
	out, err io.Writer
	colour   bool  // on err
	live     bool  // err is a terminal
	all      *bool // the flag that has every diagnostic told; nil of a verb without it
	screen   bool  // out is a terminal
}

// exit carries an exit code out of a verb that has already said why.
type exit int

func (e exit) Error() string { return fmt.Sprintf("exit %d", int(e)) }

func main() {
	// a verb is short: collecting garbage at every doubling of a small heap costs
	// more than it saves
	debug.SetGCPercent(400)
	signal.Ignore(syscall.SIGPIPE) // a pipe that is closed is an error of writing, as a full disk is
	code := run(os.Args[1:], os.Stdout, os.Stderr)
	output.Abandon() // of what still runs when a verb was stopped
	os.Exit(code)
}

// verbOf is a command line of the one verb that args begin with, of all where they begin
// otherwise: to make out what every verb takes is a tenth of a small check.
func verbOf(args []string) any {
	if all := reflect.TypeFor[cli](); len(args) > 0 {
		for i := range all.NumField() {
			if f := all.Field(i); strings.ToLower(f.Name) == args[0] {
				return reflect.New(reflect.StructOf([]reflect.StructField{f})).Interface()
			}
		}
	}
	return &cli{}
}

// run is main with its streams; it returns the exit code.
func run(args []string, to, errs io.Writer) (code int) {
	out := &stream{to: to}
	defer func() { code = out.ended(code, errs) }()
	defer func() {
		if r := recover(); r != nil {
			if c, ok := r.(exit); ok {
				code = int(c)
				return
			}
			panic(r)
		}
	}()
	parser, err := kong.New(verbOf(args),
		kong.Name("perch"),
		kong.Description("Designs of bent sheet metal, from text to flats that fit.\n\n"+
			"Exit codes: 0 done, 1 the design has mistakes, 2 wrong usage or a file that can't be read or written."),
		kong.Writers(out, errs),
		kong.Exit(func(n int) { panic(exit(n)) }),
		kong.UsageOnError(),
	)
	if err != nil {
		fmt.Fprintln(errs, "perch:", err)
		return exitTrouble
	}
	if len(args) == 0 {
		args = []string{"--help"}
	}
	ctx, err := parser.Parse(args)
	if out.err != nil { // of a help
		return exitTrouble
	}
	if err != nil {
		fmt.Fprintf(errs, "perch: %v\nperch --help tells more.\n", err)
		return exitTrouble
	}
	s := newSession(out, errs)
	if err := ctx.Run(s); err != nil {
		var c exit
		switch {
		case errors.As(err, &c):
			return int(c)
		case out.err != nil: // it is told at the end
			return exitTrouble
		}
		if s.live {
			fmt.Fprint(errs, "\r\x1b[K") // of a progress that was under way
		}
		fmt.Fprintln(errs, "perch:", err)
		return exitTrouble
	}
	return exitDone
}

func newSession(out *stream, errs io.Writer) *session {
	s := &session{out: out, err: errs, live: terminal(errs), screen: terminal(out.to)}
	s.colour = s.live && os.Getenv("NO_COLOR") == "" && os.Getenv("TERM") != "dumb"
	return s
}
