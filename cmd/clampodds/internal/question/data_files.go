package question

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"

	"clampodds/cmd/clampodds/internal/files"
	"clampodds/cmd/clampodds/internal/study"
	"clampodds/cmd/clampodds/internal/units"
	"clampodds/dist/readings"
	"clampodds/reports"
	"clampodds/sim"
)

// readData reads a file of readings, with its digest. The errors are those of files.Read.
func readData(path string) (text []byte, digest string, err error) {
	if text, err = files.Read(context.Background(), path, files.MostOfData); err != nil {
		return nil, "", fmt.Errorf("%w%s", err, study.NearestFile(path, err))
	}
	return text, sumOf(text), nil
}

// about names the file in an error of a question about it, where it is not about what was asked.
func about(path string, err error) error {
	if err == nil || errors.As(err, new(Refused)) {
		return err
	}
	return fmt.Errorf("%s: %w", path, err)
}

// AskFile judges a gauge by the readings in a file.
func (g Gauge) AskFile(path string) (r reports.Gauge, verdict sim.Verdict, err error) {
	text, digest, err := readData(path)
	if err != nil {
		return r, verdict, err
	}
	r, verdict, err = g.Ask(path, digest, text)
	return r, verdict, about(path, err)
}

func gaugeStudyIn(path string, commas bool) (reports.Gauge, error) {
	text, digest, err := readData(path)
	if err != nil {
		return reports.Gauge{}, err
	}
	r, err := GaugeStudy(path, digest, text, commas)
	return r, about(path, err)
}

var errTwoGauges = refused("gauge", "and --gauge-study are the same error: give one of them")

// AskFile fits the readings in a file, which is read as the options say; gaugeStudy is a file too, or empty.
func (f Fit) AskFile(ctx context.Context, path string, o readings.Options, gaugeStudy string, oneOperator bool) (r reports.Fit, verdict sim.Verdict, err error) {
	table, digest, err := readTable(ctx, path, o)
	if err != nil {
		return r, verdict, err
	}
	if err := f.takeGaugeStudy(gaugeStudy, table.Unit, oneOperator, o.DecimalComma); err != nil {
		return r, verdict, err
	}
	r, verdict, err = f.Ask(path, digest, table)
	return r, verdict, about(path, err)
}

// readTable reads a table as it comes, and its digest.
func readTable(ctx context.Context, path string, o readings.Options) (*readings.Table, string, error) {
	file, err := files.Open(ctx, path, files.MostOfTable)
	if err != nil {
		return nil, "", fmt.Errorf("%w%s", err, study.NearestFile(path, err))
	}
	defer file.Close()
	hash := sha256.New()
	o.Convert = inTheirUnit(o.Unit)
	table, err := readings.Read(io.TeeReader(file, hash), o)
	if err != nil {
		return nil, "", fmt.Errorf("%s: %w", path, err)
	}
	return table, hex.EncodeToString(hash.Sum(nil)), nil
}

func (f *Fit) takeGaugeStudy(path, unit string, oneOperator, commas bool) error {
	switch {
	case path == "" && oneOperator:
		return refused("one-operator", "says how to use a --gauge-study, and there is none")
	case path == "":
		return nil
	case f.Gauge.SD != 0:
		return errTwoGauges
	}
	g, err := gaugeStudyIn(path, commas)
	if err != nil {
		return err
	}
	return about(path, f.Gauge.Take(g, unit, oneOperator))
}

// Read finds the error of a reading: a standard deviation as typed, or that of a gauge study in a file; none where
// both are empty. factorAsked says that Factor was asked for, commas that the numbers of the file have a decimal comma.
func (e *ReadingError) Read(sd, gaugeStudy string, factorAsked, commas bool) error {
	switch {
	case !(e.Factor >= 0 && e.Factor <= 10):
		return refused("guard-factor", "%g: must be 0 to 10", e.Factor)
	case sd != "" && gaugeStudy != "":
		return errTwoGauges
	case sd != "":
		v, err := units.Parse(sd, units.Quantity("N*m"))
		if err == nil && !(v.SI > 0) {
			err = errors.New("must be above 0")
		}
		e.Single = v.SI
		if err != nil {
			return refused("gauge", "%q: %w", sd, err)
		}
	case gaugeStudy != "":
		g, err := gaugeStudyIn(gaugeStudy, commas)
		if err != nil {
			return err
		}
		return about(gaugeStudy, e.Take(g, factorAsked))
	}
	return nil
}

// inTheirUnit keeps the numbers in their unit, which must be one that a study can
// be pasted with; that is also how a row of units is told from readings. Beside a
// unit asked for on the command line, another one of the file's converts, which the reader
// refuses as a contradiction.
func inTheirUnit(asked string) func(unit string) (func(float64) float64, error) {
	return func(unit string) (func(float64) float64, error) {
		switch {
		case unit == "" || asked == "" && units.Known(unit) || unit == asked && units.Known(unit):
			return func(x float64) float64 { return x }, nil
		case !units.Known(unit):
			return nil, fmt.Errorf("%s is no known unit: leave it out, or give another with --unit", unit)
		}
		return units.Between(unit, asked)
	}
}
