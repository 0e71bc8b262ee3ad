package editor

import (
	"context"
	"fmt"
	"sync"
	"time"

	"go.lsp.dev/protocol"
)

// work is a piece of work that the client shows: from its begin on, with how far it
// has come, to its end. One that it can't be shown is worked on in silence.
type work struct {
	server *server
	token  protocol.ProgressToken
	title  string
	timer  *time.Timer

	mu    sync.Mutex
	shown bool
	over  bool
}

// work begins to show work. With the token of a request it is shown at once; without
// one where the client shows such work, under a token of the service, once it takes long.
func (s *server) work(token protocol.ProgressToken, title string) *work {
	w := &work{server: s, token: token, title: title}
	switch {
	case token != nil:
		w.begin()
	case s.can.showsProgress:
		w.token = protocol.String(fmt.Sprintf("perch/%d", s.tokens.Add(1)))
		w.timer = time.AfterFunc(s.opts.Quiet, func() {
			ctx, done := context.WithTimeout(s.ctx, patience)
			defer done()
			if s.client.WorkDoneProgressCreate(ctx, &protocol.WorkDoneProgressCreateParams{Token: w.token}) == nil {
				w.begin()
			}
		})
	}
	return w
}

func (w *work) begin() {
	w.mu.Lock()
	defer w.mu.Unlock()
	if !w.over {
		w.shown = true
		w.send(&protocol.WorkDoneProgressBegin{Kind: "begin", Title: w.title, Percentage: ptr(uint32(0))})
	}
}

// sizes tells how many sizes are done.
func (w *work) sizes(done, total int) {
	w.mu.Lock()
	defer w.mu.Unlock()
	if w.shown && !w.over && total > 0 {
		w.send(&protocol.WorkDoneProgressReport{Kind: "report",
			Message: ptr(fmt.Sprintf("%d of %d sizes", done, total)), Percentage: ptr(uint32(100 * done / total))})
	}
}

// end ends the showing; what comes later is not shown.
func (w *work) end() {
	if w.timer != nil {
		w.timer.Stop()
	}
	w.mu.Lock()
	defer w.mu.Unlock()
	if w.shown && !w.over {
		w.send(&protocol.WorkDoneProgressEnd{Kind: "end"})
	}
	w.over = true
}

func (w *work) send(value any) {
	b, err := protocol.Marshal(value)
	if err == nil {
		err = w.server.client.Progress(w.server.ctx, &protocol.ProgressParams{Token: w.token, Value: b})
	}
	if err != nil {
		w.server.opts.Log.Printf("telling of progress: %v", err)
	}
}
