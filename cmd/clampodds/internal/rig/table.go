package rig

import (
	"bytes"
	"cmp"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"maps"
	"slices"
	"strconv"
	"strings"

	"clampodds/cmd/clampodds/internal/units"
	"clampodds/dist/readings"
)

// Options say how a table is read. The zero value goes by the headers.
type Options struct {
	// Columns maps the key of a column to its header or number in the file, empty to
	// leave it out; Units to its unit, where the file does not say.
	Columns, Units map[string]string
	DecimalComma   bool
	Sheet          string // of a workbook
	// Noise is the standard deviation of all readings, a quantity with its unit;
	// empty: there is a column.
	Noise string
}

// Table is what was read, in SI units. It is not changed afterwards.
type Table struct {
	// Name is the file, Digest its SHA-256 in hexadecimal.
	Name, Digest string
	// Lines of the rows in the file.
	Lines []int
	// Noise of each row, in the unit of Read's quantity.
	Noise []float64
	// Read lists the quantities that were read, Set the conditions.
	Read, Set []Quantity
	// Card numbers the card of each row among Cards, its labels; one label, empty,
	// for a table without a card column.
	Card  []int
	Cards []string
	// Lot numbers the lot of each row; all 0 for a table without a lot column. Lots is how many there are.
	Lot  []int
	Lots int
	// NotUsed are headers of columns that were not read.
	NotUsed []string
}

// Quantity is a column of the table.
type Quantity struct {
	// Key is the column's, Name that of the model's output or the study's input, Header the one in the file.
	Key, Name, Header string
	Quantity          units.Quantity
	// Unit is the one in the file.
	Unit   string
	Values []float64
}

// of returns the column of a key, nil when the table has none.
func of(list []Quantity, key string) *Quantity {
	for i := range list {
		if list[i].Key == key {
			return &list[i]
		}
	}
	return nil
}

// mostRows bounds the covariance of the readings.
const mostRows = 400

// reader reads one column after another and keeps all that is wrong.
type reader struct {
	Options
	text    []byte
	headers []string
	used    []string // of headers, or their numbers
	table   *Table
	wrong   []string
}

// Read reads a table. The error has one line for everything that is wrong.
func Read(name string, text []byte, o Options) (*Table, error) {
	if err := o.checkKeys(); err != nil {
		return nil, err
	}
	headers, err := readings.Headers(bytes.NewReader(text), readings.Options{Sheet: o.Sheet, DecimalComma: o.DecimalComma, Convert: anyUnit})
	if err != nil {
		return nil, fmt.Errorf("%s: %w", name, err)
	}
	digest := sha256.Sum256(text)
	r := &reader{Options: o, text: text, headers: headers, table: &Table{Name: name, Digest: hex.EncodeToString(digest[:])}}
	r.columns()
	r.cards()
	if len(r.wrong) == 0 {
		r.noise()
	}
	if len(r.wrong) == 0 {
		r.judge()
	}
	if len(r.wrong) > 0 {
		return nil, fmt.Errorf("%s: %s", name, strings.Join(r.wrong, "\n"+name+": "))
	}
	for i, h := range r.headers {
		if !slices.Contains(r.used, h) && !slices.Contains(r.used, strconv.Itoa(i+1)) {
			r.table.NotUsed = append(r.table.NotUsed, h)
		}
	}
	return r.table, nil
}

// anyUnit lets a known unit stand in a header without brackets.
func anyUnit(unit string) (func(float64) float64, error) {
	if !units.Known(unit) {
		return nil, fmt.Errorf("%s is no known unit", unit)
	}
	return func(x float64) float64 { return x }, nil
}

// refuse says once what is wrong, though several columns may have it.
func (r *reader) refuse(format string, args ...any) {
	if text := fmt.Sprintf(format, args...); !slices.Contains(r.wrong, text) {
		r.wrong = append(r.wrong, text)
	}
}

func (r *reader) options(key, header string, q units.Quantity) readings.Options {
	o := readings.Options{Sheet: r.Sheet, Column: header, Unit: r.Units[key], DecimalComma: r.DecimalComma}
	o.Convert = func(unit string) (func(float64) float64, error) {
		if unit == "" && q != units.Number {
			return nil, fmt.Errorf("%s: the unit is missing; write %q, or give --unit %s=%s", header, header+" ["+usual(q)+"]", key, usual(q))
		}
		return units.Conversion(unit, q)
	}
	return o
}

// usual is the unit of a column for hints: the SI one, as the one length is an altitude.
func usual(q units.Quantity) string {
	if q == units.Temperature || q == units.TemperatureDifference {
		return units.Example(q)
	}
	return string(q)
}

// column reads one column; nil when it could not be read.
func (r *reader) column(key, header string, q units.Quantity) *readings.Table {
	table, err := readings.Read(bytes.NewReader(r.text), r.options(key, header, q))
	if err != nil {
		r.refuse("%s", strings.ReplaceAll(err.Error(), "\n", "\n"+r.table.Name+": "))
		return nil
	}
	for _, i := range append(table.Below, table.Above...) {
		r.refuse("line %d (%s): a bound is no reading here", table.Line(i), header)
	}
	if len(table.Values) > mostRows {
		r.refuse("%d rows, at most %d are taken", len(table.Values), mostRows)
	}
	return table
}

// columns reads all that are there.
func (r *reader) columns() {
	for _, c := range columns {
		header := r.header(c.key, c.also...)
		if header == "" {
			continue
		}
		table := r.column(c.key, header, c.quantity)
		if table == nil {
			continue
		}
		q := Quantity{Key: c.key, Name: cmp.Or(c.input, c.output), Header: cmp.Or(table.Column, header), Quantity: c.quantity, Unit: table.Unit, Values: table.Values}
		if c.input != "" {
			r.table.Set = append(r.table.Set, q)
			continue
		}
		r.table.Read = append(r.table.Read, q)
		r.table.Lines = nil
		for i := range table.Values {
			r.table.Lines = append(r.table.Lines, table.Line(i))
		}
	}
	switch read := r.table.Read; {
	case len(r.wrong) > 0:
	case len(read) == 0:
		r.refuse("nothing was read: wanted is a column left, right, hotter, spot, left resistance or right resistance; the file has %s; say which is which, as in --column left=HEADER", strings.Join(r.headers, ", "))
	case of(read, "hotter") != nil && len(read) > 1:
		r.refuse("hotter is one of the edges: it cannot be read beside them")
	case of(read, "spot") != nil && len(read) > 1:
		r.refuse("the hottest spot is one of an edge: it cannot be read beside them")
	case read[0].Quantity != read[len(read)-1].Quantity:
		r.refuse("temperatures and resistances are the same readings twice: give one of them")
	}
}

// cards reads which row is of which card and of which lot. Cards of one name in two lots are two cards.
func (r *reader) cards() {
	t := r.table
	cards, card := r.groups(cardColumn)
	lots, lot := r.groups(lotColumn)
	t.Cards, t.Card, t.Lot, t.Lots = cards, card, lot, len(lots)
	if len(lots) == 1 || len(card) != len(lot) {
		return
	}
	t.Cards, t.Card = nil, nil
	for row := range lot {
		name := strings.TrimSuffix(lots[lot[row]]+"/"+cards[card[row]], "/")
		at := slices.Index(t.Cards, name)
		if at < 0 {
			at = len(t.Cards)
			t.Cards = append(t.Cards, name)
		}
		t.Card = append(t.Card, at)
	}
}

// groups reads a column that tells rows apart, with the names in it; one empty name without the column.
func (r *reader) groups(key string) (names []string, of []int) {
	t := r.table
	header := r.header(key)
	if header == "" || len(t.Read) == 0 {
		return []string{""}, make([]int, len(t.Lines))
	}
	read := t.Read[0]
	at := slices.IndexFunc(columns, func(c column) bool { return c.key == read.Key })
	o := r.options(read.Key, r.header(read.Key, columns[at].also...), read.Quantity)
	o.Group = header
	table, err := readings.Read(bytes.NewReader(r.text), o)
	if err != nil {
		r.refuse("%s", err.Error())
		return []string{""}, nil
	}
	for _, g := range table.Groups {
		of = append(of, int(g))
	}
	return table.GroupNames, of
}

func (r *reader) noise() {
	t := r.table
	q := t.Read[0].Quantity.Difference()
	header := r.header(noiseColumn)
	switch {
	case header != "" && r.Noise != "":
		r.refuse("the noise is in the table and in the option: give it once")
	case header != "":
		if table := r.column(noiseColumn, header, q); table != nil {
			t.Noise = table.Values
		}
	case r.Noise == "":
		r.refuse("how large is the noise of a reading? Give its standard deviation in a column noise or as --noise %q", "0.3 "+units.Example(q))
	default:
		noise := r.Noise
		if r.DecimalComma {
			noise = strings.Replace(noise, ",", ".", 1)
		}
		v, err := units.Parse(noise, q)
		if err != nil {
			hint := ""
			if !r.DecimalComma && strings.Count(noise, ",") == 1 {
				hint = fmt.Sprintf("; --decimal-comma reads it as %q", strings.Replace(noise, ",", ".", 1))
			}
			r.refuse("noise %q: %v%s", r.Noise, err, hint)
			return
		}
		t.Noise = slices.Repeat([]float64{v.SI}, len(t.Lines))
	}
}

// judge refuses readings that no card gives.
func (r *reader) judge() {
	t := r.table
	wall := of(t.Set, "wall")
	for row, line := range t.Lines {
		if !(t.Noise[row] > 0) {
			r.refuse("line %d: the noise must be above 0", line)
		}
		for _, q := range t.Read {
			x := q.Values[row]
			switch {
			case q.Quantity != units.Temperature && !(x > 0):
				r.refuse("line %d (%s): a resistance must be above 0", line, q.Key)
			case q.Quantity == units.Temperature && wall != nil && !(x > wall.Values[row]):
				r.refuse("line %d (%s): %s is not above the cold wall, %s", line, q.Key,
					units.Format(x, q.Quantity, q.Unit), units.Format(wall.Values[row], wall.Quantity, wall.Unit))
			}
		}
	}
}

// column is one that a table may have.
type column struct {
	key string
	// also are further headers; the key with blanks for underscores is always one.
	also     []string
	quantity units.Quantity
	// input is the study's key of a condition that is set, output the model's name of
	// a quantity that is read.
	input, output string
}

// columns lists them in the order in which they are shown.
var columns = []column{
	{key: "torque", quantity: "N*m", input: "screw.torque"},
	{key: "power", quantity: "W", input: "card.power"},
	{key: "wall", also: []string{"wall temperature", "cold wall"}, quantity: units.Temperature, input: "wall.temperature"},
	{key: "altitude", quantity: "m", input: "gas.altitude"},
	{key: "left", also: []string{"left edge"}, quantity: units.Temperature, output: "edge.left"},
	{key: "right", also: []string{"right edge"}, quantity: units.Temperature, output: "edge.right"},
	{key: "hotter", also: []string{"hotter edge"}, quantity: units.Temperature, output: "edge.hotter"},
	{key: "spot", also: []string{"hottest spot"}, quantity: units.Temperature, output: "edge.spot"},
	{key: "left_resistance", quantity: "K/W", output: "resistance.left"},
	{key: "right_resistance", quantity: "K/W", output: "resistance.right"},
}

// The columns that are read in their own way.
const (
	noiseColumn = "noise"
	cardColumn  = "card"
	lotColumn   = "lot"
)

// header finds the header of a column among those of the file: the one asked for,
// or one the column is known by. It is empty when the file has none, or when the
// column is to be left out.
func (r *reader) header(key string, also ...string) string {
	if wanted, given := r.Columns[key]; given {
		r.used = append(r.used, wanted)
		return wanted // dist/readings says when it is not there
	}
	for _, name := range append([]string{key, strings.ReplaceAll(key, "_", " ")}, also...) {
		for _, h := range r.headers {
			if strings.EqualFold(strings.TrimSpace(h), name) {
				r.used = append(r.used, h)
				return h
			}
		}
	}
	return ""
}

// known are the keys of all columns.
func known() (keys []string) {
	for _, c := range columns {
		keys = append(keys, c.key)
	}
	return append(keys, noiseColumn, cardColumn, lotColumn)
}

// checkKeys refuses options for columns that do not exist.
func (o *Options) checkKeys() error {
	known := known()
	for _, given := range []map[string]string{o.Columns, o.Units} {
		for _, key := range slices.Sorted(maps.Keys(given)) {
			if !slices.Contains(known, key) {
				return fmt.Errorf("there is no column %q; columns are %s", key, strings.Join(known, ", "))
			}
		}
	}
	return nil
}
