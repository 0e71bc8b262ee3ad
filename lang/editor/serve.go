package editor

import (
	"context"
	"errors"
	"io"
	"log"
	"runtime/debug"
	"strings"
	"sync"
	"time"

	"go.lsp.dev/jsonrpc2"
	"go.lsp.dev/protocol"
	"go.lsp.dev/uri"

	"perch/parts/shop"
)

// Options of the service. The zero value is good.
type Options struct {
	Shop    *shop.Shop    // the shop that designs are held to; the built-in one where nil
	Version string        // told to the editor
	Pause   time.Duration // how long typing rests before geometry is built; 0: DefaultPause
	Quiet   time.Duration // how long work takes before it is shown unasked; 0: DefaultQuiet
	Log     *log.Logger   // of mistakes in the service itself; nil: none
	// After, where set, is called when background work on a version of a text is
	// done, for tests that would wait for it.
	After func(u uri.URI, version int32)
}

// DefaultPause is how long typing rests before the sizes are built.
const DefaultPause = 300 * time.Millisecond

// DefaultQuiet is how long work goes on before it is shown that nobody asked to see.
const DefaultQuiet = 500 * time.Millisecond

// gcPercent is how far the heap grows, in per cent of what is in use, before the
// process collects garbage while it serves: what is in use is some megabytes a
// text, each edit throws as much away, and a collection takes longer than an edit.
const gcPercent = 1000

// errNoExit says that the client went away without saying so.
var errNoExit = errors.New("the editor closed the stream before it asked the service to shut down")

// Serve speaks the protocol on in and out until the client says exit, the stream
// ends or ctx is done. The error is nil only after an orderly shutdown. It takes
// the process for its own: garbage is collected less often meanwhile.
func Serve(ctx context.Context, in io.Reader, out io.Writer, opts Options) error {
	if opts.Shop == nil {
		opts.Shop = shop.Default()
	}
	if opts.Pause == 0 {
		opts.Pause = DefaultPause
	}
	if opts.Quiet == 0 {
		opts.Quiet = DefaultQuiet
	}
	if opts.Log == nil {
		opts.Log = log.New(io.Discard, "", 0)
	}
	defer debug.SetGCPercent(debug.SetGCPercent(gcPercent))
	ctx, stop := context.WithCancel(ctx)
	defer stop()
	sieved, whole := newSieve(in, out)
	stream := jsonrpc2.NewStream(pipe{sieved, whole})
	conn := jsonrpc2.NewConn(stream, jsonrpc2.WithCodec(codec{}))
	s := newServer(opts, protocol.ClientDispatcher(conn))
	s.stop = stop
	s.ctx = ctx
	conn.Go(ctx, s.handle(protocol.ServerHandler(s, jsonrpc2.MethodNotFoundHandler)))
	var err error
	select {
	case <-conn.Done():
		err = conn.Err()
	case <-ctx.Done():
		// in may be blocked in a read that nothing interrupts: conn is left to end
		// with the process
	}
	orderly := s.shutDown.Load()
	s.halt()
	s.background.Wait()
	if err == nil && !orderly {
		err = errNoExit
	}
	return err
}

// pipe makes a stream of a reader and a writer, which stay open: they are the
// caller's.
type pipe struct {
	io.Reader
	io.Writer
}

func (pipe) Close() error { return nil }

// codec writes the protocol's types, unions included.
type codec struct{}

func (codec) Marshal(v any) ([]byte, error) {
	if raw, ok := v.(jsonrpc2.RawMessage); ok {
		return jsonrpc2.DefaultCodec.Marshal(raw)
	}
	return protocol.Marshal(v)
}

func (codec) Unmarshal(data []byte, v any) error {
	if raw, ok := v.(*jsonrpc2.RawMessage); ok {
		return jsonrpc2.DefaultCodec.Unmarshal(data, raw)
	}
	return protocol.Unmarshal(data, v)
}

// running are the requests at work, to be cancelled by their ids. (The library's
// own handler for this derives contexts from one that it uses again for later
// requests; contexts here come from the connection's.)
type running struct {
	mu     sync.Mutex
	cancel map[jsonrpc2.ID]context.CancelFunc
}

// begin gives a request's work a context, and what to call at its end.
func (r *running) begin(ctx context.Context, id jsonrpc2.ID) (context.Context, func()) {
	if text, ok := id.StringValue(); ok {
		id = jsonrpc2.NewStringID(strings.Clone(text)) // the text is the frame's
	}
	ctx, cancel := context.WithCancel(ctx)
	r.mu.Lock()
	defer r.mu.Unlock()
	r.cancel[id] = cancel
	return ctx, func() {
		cancel()
		r.mu.Lock()
		defer r.mu.Unlock()
		delete(r.cancel, id)
	}
}

// stop cancels the request that a notification names.
func (r *running) stop(params []byte) {
	var p protocol.CancelParams
	if protocol.Unmarshal(params, &p) != nil {
		return
	}
	var id jsonrpc2.ID
	switch x := p.ID.(type) {
	case protocol.Integer:
		id = jsonrpc2.NewNumberID(int64(x))
	case protocol.String:
		id = jsonrpc2.NewStringID(strings.Clone(string(x)))
	}
	r.mu.Lock()
	defer r.mu.Unlock()
	if cancel := r.cancel[id]; cancel != nil {
		cancel()
	}
}

// asked is what one request was answered from.
type asked struct {
	world  *world
	mu     sync.Mutex
	used   []*snapshot
	closed map[uri.URI]*snapshot // files that were read for it; nil where one can't be had
}

type askedKey struct{}

// handle keeps the order of things: notifications take effect one after the
// other; a request sees the texts as they were when it came, is worked on beside
// what follows, and is refused where a text it was answered from has changed
// meanwhile. A failure of the service is the answer to its request and no more.
func (s *server) handle(next jsonrpc2.Handler) jsonrpc2.Handler {
	return func(ctx context.Context, req *jsonrpc2.Request) (result any, err error) {
		method := strings.Clone(req.Method())
		defer func() {
			if r := recover(); r != nil {
				s.opts.Log.Printf("%s: %v\n%s", method, r, debug.Stack())
				result, err = nil, jsonrpc2.Errorf(jsonrpc2.InternalError, "%s failed: %v", method, r)
				if !req.IsCall() {
					err = nil
				}
			}
		}()
		if !req.IsCall() {
			if method == protocol.MethodCancelRequest {
				s.running.stop(req.Params())
				return nil, nil
			}
			if _, err := next(ctx, req); err != nil {
				s.opts.Log.Printf("%s: %v", method, err)
			}
			return nil, nil // an error would end the connection
		}
		switch {
		case method == protocol.MethodInitialize || method == protocol.MethodShutdown:
			return next(ctx, req)
		case !s.started.Load():
			return nil, jsonrpc2.NewError(jsonrpc2.ServerNotInitialized, "the service is not initialized")
		case s.shutDown.Load():
			return nil, jsonrpc2.NewError(jsonrpc2.InvalidRequest, "the service is shut down")
		}
		a := &asked{world: s.world.Load()}
		work, done := s.running.begin(jsonrpc2.DetachContext(ctx), req.ID())
		defer done()
		jsonrpc2.Async(ctx)
		result, err = next(context.WithValue(work, askedKey{}, a), req)
		if work.Err() != nil {
			return nil, protocol.ErrRequestCancelled
		}
		if err == nil && s.moved(a) {
			return nil, protocol.ErrContentModified
		}
		return result, err
	}
}

// moved says that a text that a was answered from is not what it was.
func (s *server) moved(a *asked) bool {
	now := s.world.Load()
	a.mu.Lock()
	defer a.mu.Unlock()
	for _, snap := range a.used {
		if cur := now.docs[snap.uri]; cur == nil || cur.version != snap.version {
			return true
		}
	}
	return false
}
