package output

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"sync"
)

// Stage is a build on its way into a folder.
type Stage struct {
	dir     string   // where it goes
	tmp     string   // where it stands meanwhile
	made    []string // folders that were made for it, dir first
	retired []string // folders of an earlier build that this one has no more
	options Options
	disk    disk
	alive   *lock // held as long as the stage stands: what is not locked was left by a killed run
	found   Recovery

	gate  sync.RWMutex // read by who writes into the stage
	state state

	mu      sync.Mutex
	written map[string]list   // by folder; "" is dir itself
	papers  map[string]papers // by folder that papers alone are staged for
	spare   []*bytes.Buffer   // to write in

	stands map[string]listed // by folder, as Commit found them
	reads  []os.FileInfo     // that options.Reads are
}

type state int

const (
	staging state = iota
	moved         // into place
	dropped
)

// errEnded is told to whoever goes on with a stage that was discarded.
var errEnded = errors.New("the build was stopped")

// Names in the output folder and in a stage.
const (
	stagePrefix = ".staged-perch-"
	journalFile = ".journal"  // what is being moved: there from before the first move until after the last
	oldFolder   = ".replaced" // what stood in place, by folder
	oldList     = ".list"     // in a folder there: its list
)

// NewStage prepares to write into dir, which is made where it isn't there. What a run that
// was killed left there is put in order first.
func NewStage(dir string, opt Options) (*Stage, error) { return newStage(dir, opt, machine) }

func newStage(dir string, opt Options, d disk) (*Stage, error) {
	s := &Stage{dir: dir, options: opt, disk: d, written: map[string]list{}, papers: map[string]papers{}}
	for d := filepath.Clean(dir); d != "."; d = filepath.Dir(d) {
		if _, err := os.Stat(d); !errors.Is(err, fs.ErrNotExist) {
			break
		}
		s.made = append(s.made, d)
	}
	for again := 0; ; again++ {
		if err := d.mkdir(dir); err != nil {
			s.Discard()
			return nil, fmt.Errorf("cannot make the output folder %s: %w", dir, bare(err))
		}
		err := s.begin()
		if err == nil {
			return s, nil
		}
		if again == 3 || !errors.Is(err, fs.ErrNotExist) { // else a run beside this one took the empty folder away
			s.Discard()
			return nil, s.failed(err)
		}
	}
}

// begin makes the stage's folder, while nobody else makes one or looks for dead ones.
func (s *Stage) begin() error {
	turn, err := takeTurn(s.dir)
	if err != nil {
		return err
	}
	defer turn.release()
	if s.found, err = recoverStages(s.dir, s.disk); err != nil {
		return err
	}
	if s.tmp, err = s.disk.temp(s.dir, stagePrefix); err != nil {
		return err
	}
	if s.alive, err = tryLock(s.tmp); err != nil && !errors.Is(err, errNoLocks) {
		return err
	}
	return live.add(s)
}

// Recovered says what the stage found of runs that were killed.
func (s *Stage) Recovered() Recovery { return s.found }

// Discard drops what is staged and not moved into place. The folder is as it was.
func (s *Stage) Discard() {
	s.gate.Lock()
	defer s.gate.Unlock()
	if s.state == staging {
		s.state = dropped
	}
	live.drop(s)
	if s.tmp != "" && !exists(filepath.Join(s.tmp, journalFile)) { // else it holds what could not be put back
		os.RemoveAll(s.tmp)
	}
	s.alive.release()
	for _, d := range s.made {
		os.Remove(d) // goes only when empty
	}
}

// write puts a file into the stage.
func (s *Stage) write(name string, data []byte) error {
	s.gate.RLock()
	defer s.gate.RUnlock()
	if s.state != staging {
		return errEnded
	}
	if err := s.disk.write(filepath.Join(s.tmp, name), data); err != nil {
		return s.failed(err)
	}
	return nil
}

// live are the stages that stand.
var live stages

type stages struct {
	mu    sync.Mutex
	all   map[*Stage]bool
	moved bool // one into place
	ended bool
}

func (l *stages) add(s *Stage) error {
	l.mu.Lock()
	defer l.mu.Unlock()
	if l.ended {
		return errEnded
	}
	if l.all == nil {
		l.all = map[*Stage]bool{}
	}
	l.all[s] = true
	return nil
}

// note: a stage was moved into place.
func (l *stages) note() {
	l.mu.Lock()
	defer l.mu.Unlock()
	l.moved = true
}

func (l *stages) drop(s *Stage) {
	l.mu.Lock()
	defer l.mu.Unlock()
	delete(l.all, s)
}

// Abandon is for a program that ends while something may still be built: what is being moved
// into place gets there, all else that is staged is discarded, and nothing is staged any
// more. It returns whether this program ever moved something.
func Abandon() bool {
	live.mu.Lock()
	live.ended = true
	var standing []*Stage
	for s := range live.all {
		standing = append(standing, s)
	}
	live.mu.Unlock()
	for _, s := range standing {
		s.Discard() // waits for a commit under way
	}
	live.mu.Lock()
	defer live.mu.Unlock()
	return live.moved
}
