package question

import (
	"bytes"
	"compress/flate"
	"context"
	"crypto/sha256"
	"encoding"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"

	"clampodds/cmd/clampodds/internal/files"
	"clampodds/cmd/clampodds/internal/study"
	"clampodds/reports"
	"clampodds/sim/decide"
)

// recordsSchema is the form of a file of numbers of record.
const recordsSchema = "clampodds.records/1"

// recordsID tells a mission: all that its numbers of record depend on.
type recordsID struct {
	Version    string  `json:"version"`
	Build      string  `json:"build"`
	Digest     string  `json:"digest_sha256"` // of the study with all that it reads
	Condition  string  `json:"condition"`
	Moved      string  `json:"moved"`      // what the study was moved to; empty for nothing
	Conditions bool    `json:"conditions"` // those that the study has are judged too
	Seed       uint64  `json:"seed"`
	Confidence float64 `json:"confidence"`
	Tail       int     `json:"tail_evaluations"`
	Predictive bool    `json:"predictive"`
}

func recordsOf(setup decide.Setup, s *study.Study, to string, conditions bool) recordsID {
	return recordsID{
		Version: Version, Build: Build(), Digest: s.Digest, Condition: s.ConditionName, Moved: to,
		Conditions: conditions && s.ConditionName == "" && len(s.Conditions) > 0,
		Seed:       setup.Run.Seed, Confidence: setup.Run.Confidence, Tail: setup.Evaluations, Predictive: setup.Policy == decide.Predictive,
	}
}

// kept is an answer on disk.
type kept struct {
	Schema string          `json:"schema"`
	Of     json.RawMessage `json:"of"` // all that it depends on
	packed                 // the answer
}

// FileError is an error of reading or writing a file of KeepRecords.
type FileError struct{ error }

func (e FileError) Unwrap() error { return e.error }

type keptIn struct{}

// KeepRecords lets questions keep in a folder the numbers of record that they find, one file for each
// mission, each change and each step of a search, and take from there those that they or others have found before. The folder is
// made; an error is a FileError.
func KeepRecords(ctx context.Context, folder string) (context.Context, error) {
	if err := os.MkdirAll(folder, 0o777); err != nil {
		return nil, FileError{fmt.Errorf("folder of records %s: %w", folder, err)}
	}
	return context.WithValue(ctx, keptIn{}, folder), nil
}

// once makes an answer, or reads it where a folder of KeepRecords has it.
func once(ctx context.Context, id any, make func() ([]byte, error), read func([]byte) error) error {
	folder, keeps := ctx.Value(keptIn{}).(string)
	if !keeps {
		_, err := make()
		return err
	}
	of, err := json.Marshal(id)
	if err != nil {
		return err
	}
	name := filepath.Join(folder, sumOf(of)+".json")
	text, err := readKept(ctx, name, of)
	switch {
	case err == nil:
		err = read(text)
	case errors.Is(err, fs.ErrNotExist):
		if text, err = make(); err != nil {
			return err
		}
		return writeKept(name, of, text)
	}
	if err != nil && !errors.As(err, new(FileError)) {
		err = fmt.Errorf("%s: not the numbers of record that were kept (%w); remove it", name, err)
	}
	return err
}

// onceOf is once for an answer that has a binary form.
func onceOf[A encoding.BinaryMarshaler](ctx context.Context, id any, make func() (A, error), read func([]byte) (A, error)) (answer A, err error) {
	err = once(ctx, id, func() (text []byte, err error) {
		if answer, err = make(); err != nil {
			return nil, err
		}
		return answer.MarshalBinary()
	}, func(text []byte) (err error) {
		answer, err = read(text)
		return err
	})
	return answer, err
}

// mostKept bounds a file of an answer, bytes.
const mostKept = 64 << 20

func readKept(ctx context.Context, name string, of []byte) ([]byte, error) {
	text, err := files.Read(ctx, name, mostKept)
	if err != nil {
		return nil, FileError{err}
	}
	var k kept
	if err := json.Unmarshal(text, &k); err != nil {
		return nil, err
	}
	var own bytes.Buffer
	if err := json.Compact(&own, k.Of); err != nil || k.Schema != recordsSchema || !bytes.Equal(own.Bytes(), of) {
		return nil, errors.New("it is of another study")
	}
	if err := k.intact(); err != nil {
		return nil, err
	}
	return k.unpack()
}

func writeKept(name string, of, text []byte) error {
	packed, err := pack(text)
	if err != nil {
		return err
	}
	if err := new(files.Inputs).Write(name, true, func(w io.Writer) error { return writeIndented(w, kept{recordsSchema, of, packed}) }); err != nil {
		return FileError{err}
	}
	return nil
}

type missionAnswer struct {
	Mission []byte           `json:"mission"`
	Needed  []reports.Needed `json:"needed"`
}

// judgeOnce judges a mission unless it is kept.
func judgeOnce(ctx context.Context, id recordsID, members []decide.Member, judge func() (*decide.Mission, []reports.Needed, error)) (m *decide.Mission, list []reports.Needed, err error) {
	err = once(ctx, id, func() (text []byte, err error) {
		if m, list, err = judge(); err != nil {
			return nil, err
		}
		if text, err = m.MarshalBinary(); err != nil {
			return nil, err
		}
		return json.Marshal(missionAnswer{text, list})
	}, func(text []byte) (err error) {
		var a missionAnswer
		if err = json.Unmarshal(text, &a); err == nil {
			m, err = decide.ReadMission(members, a.Mission)
		}
		list = a.Needed
		return err
	})
	return m, list, err
}

// changeID tells the differences that a change makes.
type changeID struct {
	Before recordsID     `json:"before"`
	After  recordsID     `json:"after"`
	Margin decide.Margin `json:"margin"`
}

// changeOnce judges a change unless it is kept.
func changeOnce(ctx context.Context, id changeID, c *decide.Change, before, after *decide.Mission) (*decide.Changed, error) {
	return onceOf(ctx, id, func() (*decide.Changed, error) { return c.Judge(ctx, before, after) },
		func(text []byte) (*decide.Changed, error) { return decide.ReadChanged(before, after, text) })
}

// windowID tells a window of torques.
type windowID struct {
	Study recordsID `json:"study"`
	From  float64   `json:"from"`
	To    float64   `json:"to"`
}

// moveID tells the search for how far a tolerance goes.
type moveID struct {
	Mission  recordsID `json:"mission"`
	Accuracy float64   `json:"accuracy"`
	Move     string    `json:"move"`
	Input    string    `json:"input"`
}

// stepID tells a step of a search.
type stepID struct {
	Search any    `json:"search"`
	Step   string `json:"step"`
}

// steps keeps the steps of a search.
func steps(ctx context.Context, search any) decide.Once {
	return func(step string, do func() ([]byte, error), read func([]byte) error) error {
		return once(ctx, stepID{search, step}, do, read)
	}
}

func (t *torque) windowID() windowID {
	setup := ofRecord(t.Setup, t.study)
	return windowID{recordsOf(setup, t.study, "window", true), t.From, t.To}
}

// windowOnce looks for the window of the study as written unless it is kept.
func (t *torque) windowOnce(ctx context.Context) (*decide.Window, error) {
	return onceOf(ctx, t.windowID(), func() (*decide.Window, error) { return t.Window(ctx) }, decide.ReadWindow)
}

// packed is what a file in JSON holds for this program alone: compressed (DEFLATE), with the
// SHA-256 of that.
type packed struct {
	Data []byte `json:"data"`
	Sum  string `json:"data_sha256"`
}

func pack(text []byte) (packed, error) {
	var b bytes.Buffer
	w, err := flate.NewWriter(&b, flate.BestSpeed)
	if err == nil {
		_, err = w.Write(text)
		err = errors.Join(err, w.Close())
	}
	return packed{b.Bytes(), sumOf(b.Bytes())}, err
}

func sumOf(data []byte) string {
	sum := sha256.Sum256(data)
	return hex.EncodeToString(sum[:])
}

// intact says that the data are those that were written.
func (p packed) intact() error {
	if sumOf(p.Data) != p.Sum {
		return errors.New("it is damaged: its data are not those that were written")
	}
	return nil
}

// mostUnpacked bounds what data unfold to, bytes.
const mostUnpacked = 2 << 30

func (p packed) unpack() ([]byte, error) {
	text, err := io.ReadAll(io.LimitReader(flate.NewReader(bytes.NewReader(p.Data)), mostUnpacked))
	if err != nil {
		return nil, fmt.Errorf("it is damaged: %w", err)
	}
	return text, nil
}

func writeIndented(w io.Writer, what any) error {
	e := json.NewEncoder(w)
	e.SetIndent("", "  ")
	return e.Encode(what)
}
