package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"os/signal"
	"strings"
	"syscall"
	"time"

	"perch/lang/diag"
	"perch/lang/family"
	"perch/lang/live"
	"perch/lang/watch"
	"perch/parts/measure"
	"perch/parts/output"
)

type watchCmd struct {
	File     string   `arg:"" help:"The design, a .perch file."`
	Size     []string `short:"s" help:"A size to take; repeat it for several. Default: all." placeholder:"NAME"`
	Set      []string `help:"State a value, stronger than the size's: --set height=700mm. Repeatable." placeholder:"NAME=VALUE" sep:"none"`
	Shop     string   `help:"A shop file: materials, machines, sheets, rivets. Default: the built-in shop." placeholder:"FILE"`
	Out      string   `short:"o" default:"out" help:"The folder to write below: FOLDER/DESIGN/SIZE." placeholder:"FOLDER"`
	Unit     string   `enum:"design,mm,in" default:"design" help:"Units to read the design in, and of drawings: ${enum}. Default: the design's, drawings for cutting as the shop takes them."`
	Page     bool     `help:"Serve the piece as a page on this machine: it shows every save, and values can be tried in it."`
	Port     int      `default:"0" help:"The port that --page is served at. Default: a free one." placeholder:"NUMBER"`
	Pictures bool     `default:"true" negatable:"" help:"Draw the assembled piece and every flat as pictures."`
	taking
}

func (c *watchCmd) Run(s *session) error {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	defer stop()
	ended := make(chan error, 1)
	go func() { ended <- c.watch(context.Background(), s) }()
	select {
	case err := <-ended:
		return err
	case <-ctx.Done(): // that is how it ends; a build under way is dropped
	}
	output.Abandon()
	if s.screen {
		fmt.Fprintln(s.out)
	}
	return nil
}

// watch rebuilds until ctx is done.
func (c *watchCmd) watch(ctx context.Context, s *session) error {
	shop, err := readShop(c.Shop)
	if err != nil {
		return err
	}
	job := watch.Job{File: c.File, Shop: shop, Sizes: c.Size, Settings: c.Set, Out: c.Out, Unit: c.Unit, Pictures: c.Pictures, Replace: c.Replace}
	ctx, stop := context.WithCancel(ctx)
	defer stop()
	screen := &screen{stop: stop, session: s, file: c.File, out: family.Folder(c.Out, c.File), live: s.screen}
	show := screen.show
	if c.Page {
		if show, err = c.serve(ctx, screen); err != nil {
			return err
		}
	}
	err = job.Run(ctx, show)
	if errors.Is(err, fs.ErrNotExist) {
		return fmt.Errorf("there is no file %s", c.File)
	}
	return err
}

// serve starts to serve the page, and shows a report on it before the terminal does.
func (c *watchCmd) serve(ctx context.Context, on *screen) (func(watch.Report), error) {
	if c.Port < 0 || c.Port > 65535 {
		return nil, fmt.Errorf("--port: a port is a number from 0 to 65535, not %d", c.Port)
	}
	at, err := live.Listen(c.Port)
	if err != nil {
		return nil, fmt.Errorf("--page: %w", err)
	}
	server, err := live.New(at.Addr())
	if err != nil {
		return nil, err
	}
	on.page = server.Address()
	go func() {
		if err := server.Serve(ctx, at); err != nil {
			fmt.Fprintf(on.err, "perch: the page is served no more: %v\n", err)
		}
	}()
	return func(r watch.Report) {
		if err := server.Show(r); err != nil {
			fmt.Fprintf(on.err, "perch: the page: %v\n", err)
		}
		on.show(r)
	}, nil
}

// screen shows one report at a time: on a terminal in place of the one before,
// else below it.
type screen struct {
	*session
	file, out string
	page      string // where it is served; "" where it is not
	live      bool
	told      bool   // where it is served
	stop      func() // ends the watch
}

func (c *screen) show(r watch.Report) {
	var b strings.Builder
	if c.live {
		b.WriteString("\x1b[H\x1b[2J\x1b[3J")
	}
	c.report(&b, r)
	if c.page != "" && !c.told {
		fmt.Fprintf(&b, "the page is at %s\n", c.page)
		c.told = !c.live // a screen that is cleared shows it again
	}
	if c.live {
		fmt.Fprintf(&b, "\n%s, waiting for the next save; Ctrl-C ends\n", r.At.Format("15:04:05"))
	}
	if _, err := io.WriteString(c.session.out, b.String()); err != nil {
		c.stop() // nobody sees it any more
	}
}

// report writes what is wrong, or what was built.
func (c *screen) report(w io.Writer, r watch.Report) {
	switch {
	case r.Gone:
		fmt.Fprintf(w, "%s is gone; it is waited for\n", c.file)
		return
	case r.Err != nil:
		fmt.Fprintf(w, "perch: %v\n", r.Err)
		return
	}
	if len(r.Diags) > 0 {
		diag.Render(w, diag.Limited(diag.Sorted(r.Diags), diag.MostTold), diag.Style{Color: c.live && os.Getenv("NO_COLOR") == ""})
		fmt.Fprintln(w)
	}
	if diag.HasErrors(r.Diags) {
		fmt.Fprintf(w, "%s: nothing built, %s is as it was\n", c.file, c.out)
		return
	}
	fmt.Fprintf(w, "%s: built into %s in %d ms\n", c.file, c.out, max(1, r.Took.Round(time.Millisecond).Milliseconds()))
	for _, s := range r.Sizes {
		fmt.Fprintf(w, "  %s: %s of %s, %s\n", s.Name, measure.Counted(s.Pieces, "piece"), measure.Counted(s.Blanks, "blank"), written(s))
	}
}

func written(s watch.Size) string {
	if len(s.Written)+len(s.Removed) == 0 {
		return "as before"
	}
	text := measure.Counted(len(s.Written), "file") + " written"
	if n := len(s.Removed); n > 0 {
		text += fmt.Sprintf(", %d removed", n)
	}
	return text
}
