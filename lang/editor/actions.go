package editor

import (
	"context"
	"encoding/json"
	"fmt"
	"path/filepath"
	"slices"

	"github.com/go-json-experiment/json/jsontext"
	"go.lsp.dev/protocol"
	"go.lsp.dev/uri"

	"perch/lang/build"
	"perch/lang/check"
	"perch/lang/diag"
	"perch/lang/family"
	"perch/parts/measure"
	"perch/parts/output"
)

// The commands that the service does. Each takes the design's URI and the name of a
// size; without one, CommandBuild and CommandSize take all.
const (
	CommandBuild   = "perch.build"   // build below the folder out beside the design
	CommandPicture = "perch.picture" // draw the piece and open the picture
	CommandSize    = "perch.size"    // show the values of this size alone between the lines
)

// OutFolder is what commands build below, beside the design.
const OutFolder = "out"

// CodeAction offers the mends of the mistakes in a range, and what its maker may want to
// rewrite there.
func (s *server) CodeAction(ctx context.Context, p *protocol.CodeActionParams) ([]protocol.CommandOrCodeAction, error) {
	snap, err := s.snap(ctx, p.TextDocument.URI)
	if err != nil {
		return nil, err
	}
	from, to := snap.idx.offset(p.Range.Start), snap.idx.offset(p.Range.End)
	out := []protocol.CommandOrCodeAction{}
	wants := func(kind protocol.CodeActionKind) bool {
		return len(p.Context.Only) == 0 || slices.ContainsFunc(p.Context.Only, func(o protocol.CodeActionKind) bool { return under(kind, o) })
	}
	var all []protocol.TextEdit
	fixes := 0
	for _, d := range diag.Sorted(snap.mended()) {
		edits, ok := snap.mend(d)
		if !ok {
			continue
		}
		mistake := d.Severity != diag.Note // to take out what nothing reads yet is not for a machine to decide
		if mistake && noneTouch(append(slices.Clone(all), edits...)) {
			all, fixes = append(all, edits...), fixes+1
		}
		if int(d.Span.Start) > to || int(d.Span.End) < from || !wants(protocol.CodeActionKindQuickFix) {
			continue
		}
		out = append(out, &protocol.CodeAction{
			Title: d.Fix.Message, Kind: ptr(protocol.CodeActionKindQuickFix), IsPreferred: ptr(mistake),
			Diagnostics: []protocol.Diagnostic{snap.diagnostic(d)},
			Edit:        &protocol.WorkspaceEdit{Changes: map[uri.URI][]protocol.TextEdit{snap.uri: edits}},
		})
	}
	if fixes > 0 && len(p.Context.Only) > 0 && wants(protocol.CodeActionKindSourceFixAll) {
		out = append(out, &protocol.CodeAction{
			Title: "mend " + measure.Counted(fixes, "mistake"), Kind: ptr(protocol.CodeActionKindSourceFixAll),
			Edit: &protocol.WorkspaceEdit{Changes: map[uri.URI][]protocol.TextEdit{snap.uri: all}},
		})
	}
	return append(out, snap.rewrites(from, to, wants)...), nil
}

// mend is what a diagnostic's fix changes in this text.
func (snap *snapshot) mend(d diag.Diagnostic) ([]protocol.TextEdit, bool) {
	if d.Fix == nil || d.Span.Source != snap.src {
		return nil, false
	}
	var out []protocol.TextEdit
	for _, e := range d.Fix.Edits {
		if e.Span.Source != snap.src {
			return nil, false
		}
		out = append(out, protocol.TextEdit{Range: snap.rangeOf(e.Span), NewText: e.Text})
	}
	return out, len(out) > 0
}

// noneTouch says that no two edits overlap or meet.
func noneTouch(edits []protocol.TextEdit) bool {
	slices.SortFunc(edits, func(a, b protocol.TextEdit) int {
		if before(a.Range.Start, b.Range.Start) {
			return -1
		}
		return 1
	})
	for i := 1; i < len(edits); i++ {
		if !before(edits[i-1].Range.End, edits[i].Range.Start) {
			return false
		}
	}
	return true
}

// CodeLens offers to build each size, to draw it, and to show its values.
func (s *server) CodeLens(ctx context.Context, p *protocol.CodeLensParams) ([]protocol.CodeLens, error) {
	snap, err := s.snap(ctx, p.TextDocument.URI)
	if err != nil {
		return nil, err
	}
	out := []protocol.CodeLens{}
	if !snap.isDesign() || !snap.uri.IsFile() {
		return out, nil
	}
	lens := func(sp diag.Span, title, command string, args ...string) {
		out = append(out, protocol.CodeLens{Range: snap.rangeOf(sp), Command: commandOf(title, command, append([]string{string(snap.uri)}, args...))})
	}
	lens(snap.file.Design.At, "build all sizes", CommandBuild)
	shows := s.shownSize(snap)
	if shows != "" {
		lens(snap.file.Design.At, "show the values of all sizes", CommandSize)
	}
	for _, d := range snap.program().Root.Order {
		if d.Kind != check.Size || d.Name == "" {
			continue
		}
		lens(d.At, "build "+d.Name, CommandBuild, d.Name)
		lens(d.At, "picture", CommandPicture, d.Name)
		if d.Name != shows {
			lens(d.At, "show its values only", CommandSize, d.Name)
		}
	}
	return out, nil
}

func commandOf(title, command string, args []string) protocol.Command {
	c := protocol.Command{Title: title, Command: command}
	for _, a := range args {
		b, _ := json.Marshal(a) // a string always can
		c.Arguments = append(c.Arguments, jsontext.Value(b))
	}
	return c
}

// ExecuteCommand does one of the service's commands.
func (s *server) ExecuteCommand(ctx context.Context, p *protocol.ExecuteCommandParams) (protocol.LSPAny, error) {
	var args []string
	for _, a := range p.Arguments {
		var text string
		if err := json.Unmarshal(a, &text); err != nil {
			return nil, refused("%s takes a URI and the name of a size, as texts", p.Command)
		}
		args = append(args, text)
	}
	if len(args) == 0 {
		return nil, refused("%s needs the URI of a design", p.Command)
	}
	snap, err := s.snap(ctx, uri.URI(args[0]))
	if err != nil {
		return nil, err
	}
	if !snap.isDesign() {
		return nil, refused("%s is a module: there is nothing to build", shortName(snap.uri))
	}
	sizes := args[1:]
	switch {
	case len(sizes) > 0 && !slices.Contains(build.Sizes(snap.program()), sizes[0]):
		return nil, refused("the design has no size %s", sizes[0])
	case p.Command == CommandBuild:
		return s.make(ctx, snap, sizes, p)
	case p.Command == CommandSize:
		s.showSize(ctx, snap, sizes)
		return nil, nil
	case p.Command != CommandPicture:
	case len(sizes) == 0:
		return nil, refused("%s needs the name of a size", p.Command)
	default:
		return s.make(ctx, snap, sizes[:1], p)
	}
	return nil, refused("there is no command %s", p.Command)
}

// make builds into the design's output folder and says so; CommandPicture shows the
// picture too. The result is the folder, or the picture, as a URI.
func (s *server) make(ctx context.Context, snap *snapshot, sizes []string, p *protocol.ExecuteCommandParams) (protocol.LSPAny, error) {
	if !snap.uri.IsFile() {
		return nil, refused("the design is not saved as a file yet")
	}
	if diag.HasErrors(snap.diags) {
		return nil, refused("the design has mistakes: nothing was built")
	}
	file := snap.uri.FsPath()
	out := filepath.Join(filepath.Dir(file), OutFolder)
	dir := family.Folder(out, file)
	told := s.work(p.WorkDoneToken, "building "+shortName(snap.uri))
	defer told.end()
	job := family.Job{Program: snap.program(), File: file, Shop: s.opts.Shop, Sizes: sizes, Progress: told.sizes}
	s.building.Lock()
	found, err := job.Build(out, job.Output(true))
	s.building.Unlock()
	for _, d := range found {
		if err == nil && d.Severity == diag.Error {
			err = fmt.Errorf("%s (line %d)", d.Summary, d.Span.Position().Line)
		}
	}
	if err != nil {
		return nil, refused("nothing was built: %v", err)
	}
	result := uri.File(dir)
	if p.Command == CommandPicture {
		result = uri.File(filepath.Join(dir, sizes[0], output.PictureSVG))
		if _, err := s.client.ShowDocument(ctx, &protocol.ShowDocumentParams{URI: result, External: ptr(true)}); err != nil {
			s.opts.Log.Printf("showing %s: %v", result, err)
		}
	}
	s.client.ShowMessage(ctx, &protocol.ShowMessageParams{
		Type: protocol.MessageTypeInfo, Message: fmt.Sprintf("built %s into %s", shortName(snap.uri), dir)})
	b, err := json.Marshal(result)
	return jsontext.Value(b), err
}
