package question

import (
	"context"
	"errors"
	"fmt"
	"math"
	"path/filepath"
	"slices"
	"strings"
	"unicode"

	"clampodds/cmd/clampodds/internal/rig"
	"clampodds/cmd/clampodds/internal/study"
	"clampodds/dist"
	"clampodds/reports"
	"clampodds/sim/calibrate"
)

// Calibrate narrows inputs of a study by thermal readings.
type Calibrate struct {
	rig.Options
	Update    []string // keys of the inputs
	Condition string   // that the readings were taken in; empty for the study as written
}

// Calibrated is a calibration that is done.
type Calibrated struct {
	Result reports.Calibration

	read   *study.Study // as written; what the fragment extends
	used   *study.Study // in the condition of the readings
	table  *rig.Table
	wired  *rig.Calibration
	result *calibrate.Result
	inputs []narrowed

	slips   []calibrate.Slip
	without *calibrate.Result // of all but the slips; nil without them
	// ofReadings are how many of the last warnings are of what the readings say.
	ofReadings int
}

// Ask reads the table in a file and solves. Output is where the fragment in the result is to be written; empty: beside the study.
func (c Calibrate) Ask(ctx context.Context, read *study.Study, m Sampling, data, output string, progress Progress) (*Calibrated, error) {
	text, _, err := readData(data)
	if err != nil {
		return nil, err
	}
	if read.Chassis != nil {
		return nil, errors.New("a rig holds a card: calibrate its own study, the chassis then reads what was learnt from that")
	}
	read = read.Averaged() // each card by itself
	table, err := rig.Read(data, text, c.Options)
	if err != nil {
		return nil, err
	}
	used := read
	if c.Condition != "" {
		if used, err = read.Condition(c.Condition); err != nil {
			return nil, err
		}
	}
	wired, err := table.Calibrate(used, c.Update)
	if err != nil {
		return nil, err
	}
	show, clear := progress.start("responses of the model")
	defer clear()
	p := &wired.Problem
	p.Confidence, p.Seed, p.Workers, p.Draws, p.Progress = read.Run.Confidence, m.seed(read), m.Workers, int(m.Samples), show
	done := &Calibrated{read: read, used: used, table: table, wired: wired}
	if done.slips, done.without, err = p.Slips(ctx); err == nil {
		done.result, err = p.Solve(ctx)
	}
	switch {
	case ctx.Err() != nil:
		return nil, ErrInterrupted
	case err != nil && len(done.slips) > 0:
		return nil, fmt.Errorf("%w; look first at %s", err, done.slipped().Found[0].Text())
	case err != nil:
		return nil, err
	}
	for _, m := range done.result.Marginals {
		in := used.Input(m.Name)
		source := fmt.Sprintf(study.PosteriorSource+"%d rows of %s%s; before: %s; clampodds %s", len(table.Lines), filepath.Base(table.Name), done.ofSlips(), in.Typed, Version)
		done.inputs = append(done.inputs, newNarrowed(in, m, source))
	}
	done.Result = done.report()
	done.Result.Fragment = done.Fragment(read, output)
	return done, nil
}

// narrowed is one input as the fragment has it: a lognormal distribution with the
// mean and the standard deviation of the posterior's logarithm, cut where the
// prior was.
type narrowed struct {
	input         *study.Input
	median, sigma float64
	entry         string
}

func newNarrowed(in *study.Input, m *calibrate.Marginal, source string) narrowed {
	mean, sigma := m.LogMeanStdDev()
	n := narrowed{input: in, median: math.Exp(mean), sigma: sigma}
	parts := []string{`shape = "lognormal"`, "median = " + entryValue(in, n.median), fmt.Sprintf("sigma_ln = %.4g", sigma)}
	low, high := in.Dist.Support()
	if low > 0 {
		parts = append(parts, "low = "+entryValue(in, low))
	}
	if !math.IsInf(high, 1) {
		parts = append(parts, "high = "+entryValue(in, high))
	}
	parts = append(parts, "knowledge = true")
	if source != "" {
		parts = append(parts, "source = "+tomlText(source))
	}
	n.entry = "{ " + strings.Join(parts, ", ") + " }"
	return n
}

func entryValue(in *study.Input, si float64) string {
	text := in.Format(si)
	if in.Parameter.Unit == "1" {
		return text
	}
	return tomlText(text)
}

// tomlText is a text in quotes, without what would end or break it.
func tomlText(s string) string {
	s = strings.Map(func(r rune) rune {
		if !unicode.IsPrint(r) {
			return ' '
		}
		return r
	}, strings.ToValidUTF8(s, "?"))
	return `"` + strings.NewReplacer(`\`, `\\`, `"`, `\"`).Replace(s) + `"`
}

// farOff is the largest difference of a quantile between posterior and fragment,
// over the width of the interval, that goes without a warning.
const farOff = 0.05

// quantile of the distribution as the fragment has it; infinite where there is none.
func (n *narrowed) quantile(p float64) float64 {
	low, high := n.input.Dist.Support()
	d, err := dist.NewLognormal(n.median, n.sigma)
	if err != nil {
		return math.Inf(1)
	}
	cut, err := dist.NewTruncated(d, low, high)
	if err != nil {
		return math.Inf(1)
	}
	return cut.Quantile(p)
}

// misfit is the largest such difference at the ends and the middle of the
// interval.
func (n *narrowed) misfit(m *calibrate.Marginal, confidence float64) float64 {
	tail := (1 - confidence) / 2
	width := m.Quantile(1-tail) - m.Quantile(tail)
	worst := 0.0
	for _, p := range []float64{tail, 0.5, 1 - tail} {
		worst = math.Max(worst, math.Abs(n.quantile(p)-m.Quantile(p))/width)
	}
	return worst
}

// Fragment is a study, written to output, that extends one by what was found.
func (c *Calibrated) Fragment(of *study.Study, output string) string {
	var b strings.Builder
	fmt.Fprintf(&b, "# %s with what %s says of %s.\n", oneLine(filepath.Base(of.Name)), oneLine(filepath.Base(c.table.Name)), strings.Join(c.keys(), ", "))
	b.WriteString("# The numbers hold for the hardware that was read: another lot may differ.\n")
	b.WriteString(c.slipsRemark() + "\n")
	fmt.Fprintf(&b, "extends = %s\n", tomlText(pathFrom(output, of.Name)))
	if of.Title != "" {
		fmt.Fprintf(&b, "title   = %s\n", tomlText(of.Title+", calibrated"))
	}
	b.WriteByte('\n')
	for _, component := range []bool{false, true} { // the plain keys come before any table
		for _, n := range c.inputs {
			if strings.HasPrefix(n.input.Key, "component.") == component {
				b.WriteString(n.line())
			}
		}
	}
	for _, r := range c.correlations(of) {
		fmt.Fprintf(&b, "\n[[correlation]]\nbetween = [%s, %s]\nrank    = %.4g\n", tomlText(r.A), tomlText(r.B), r.Rank)
	}
	return b.String()
}

// line is the input in a study: key and value, or the component that has it.
func (n *narrowed) line() string {
	if name, found := strings.CutPrefix(n.input.Key, "component."); found {
		name, key, _ := strings.Cut(name, ".")
		return fmt.Sprintf("\n[[component]]\nname = %s\n%s = %s\n", tomlText(name), key, n.entry)
	}
	return fmt.Sprintf("%s = %s\n", n.input.Key, n.entry)
}

// oneLine keeps a file name in a comment to its line.
func oneLine(s string) string { return strings.Trim(tomlText(s), `"`) }

// pathFrom is the path of a study as seen from the folder of the file, empty for
// one beside it, that extends it.
func pathFrom(from, path string) string {
	if from == "" {
		return filepath.ToSlash(filepath.Base(path))
	}
	if absolute, err := filepath.Abs(path); err == nil {
		if folder, err := filepath.Abs(filepath.Dir(from)); err == nil {
			if r, err := filepath.Rel(folder, absolute); err == nil {
				return filepath.ToSlash(r)
			}
		}
	}
	return filepath.ToSlash(path)
}

func (c *Calibrated) keys() (list []string) {
	for _, n := range c.inputs {
		list = append(list, n.input.Key)
	}
	return list
}

// correlations are those of the study, between the narrowed inputs the new ones.
// Correlations of a study that extends another replace all of its own.
func (c *Calibrated) correlations(of *study.Study) []study.Correlation {
	if len(c.inputs) == 1 {
		return nil
	}
	var list []study.Correlation
	for _, r := range of.Correlations {
		if !slices.Contains(c.keys(), r.A) {
			list = append(list, r)
		}
	}
	for i, a := range c.inputs {
		for j, b := range c.inputs[:i] {
			// Spearman's rank correlation of a normal copula.
			rank := 6 / math.Pi * math.Asin(c.result.Correlation.At(i, j)/2)
			list = append(list, study.Correlation{A: b.input.Key, B: a.input.Key, Rank: rank})
		}
	}
	return list
}
