package readings

import (
	"errors"
	"fmt"
	"strings"
	"testing"
	"testing/iotest"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	_ "clampodds/testdata/fixedseed"
)

// inMillimetres stands for the units of the command line tool.
func inMillimetres(unit string) (func(float64) float64, error) {
	factor, known := map[string]float64{"mm": 1e-3, "m": 1, "µm": 1e-6, "um": 1e-6}[unit]
	if !known {
		return nil, errors.New("no length")
	}
	return func(x float64) float64 { return x * factor }, nil
}

func TestReadsFilesAsTheyCome(t *testing.T) {
	lengths := Options{Column: "gap", Convert: inMillimetres}
	for name, c := range map[string]struct {
		text    string
		options Options
		want    []float64
	}{
		"one column":           {"gap\n1.5\n2\n", Options{}, []float64{1.5, 2}},
		"no header":            {"1.5\n2\n", Options{}, []float64{1.5, 2}},
		"no header, by number": {"1,1.5\n2,2\n", Options{Column: "2"}, []float64{1.5, 2}},
		"mark and CRLF":        {"\ufeffgap\r\n1.5\r\n2\r\n", Options{}, []float64{1.5, 2}},
		"no last line end":     {"gap\n1.5\n2", Options{}, []float64{1.5, 2}},
		"blank lines":          {"\ngap\n\n1.5\n \n2\n\n", Options{}, []float64{1.5, 2}},
		"rows of empty cells":  {"part;gap\n1;1.5\n;\n2;2\n;\n", Options{Column: "gap"}, []float64{1.5, 2}},
		"semicolons":           {"part;gap\nA;1.5\nB;2\n", Options{Column: "gap"}, []float64{1.5, 2}},
		"decimal commas":       {"part;gap\nA;1,5\nB;2\n", Options{Column: "gap", DecimalComma: true}, []float64{1.5, 2}},
		"one decimal column":   {"gap\n1,5\n2\n", Options{DecimalComma: true}, []float64{1.5, 2}},
		"tabs":                 {"part\tgap\nA\t1.5\nB\t2\n", Options{Column: "gap"}, []float64{1.5, 2}},
		"bars":                 {"part|gap\nA|1.5\nB|2\n", Options{Column: "gap"}, []float64{1.5, 2}},
		"sep line":             {"sep=;\r\n\"part, kind\";gap\r\nA;1.5\r\nB;2\r\n", Options{Column: "gap"}, []float64{1.5, 2}},
		"given separator":      {"a,b;gap\n1,2;1.5\n", Options{Column: "gap", Separator: ';'}, []float64{1.5}},
		"comments":             {"# torque audit, 5\" tool\ngap\n1.5\n# moved\n2\n", Options{}, []float64{1.5, 2}},
		"quotes":               {"\"part; kind\";\"the \"\"gap\"\"\"\n\"A\nB\";\"1.5\"\n\"C;D\";2\n", Options{Column: `the "gap"`}, []float64{1.5, 2}},
		"other case":           {"Gap \n1.5\n", Options{Column: "gap"}, []float64{1.5}},
		"short rows":           {"gap,remark\n1.5,new\n2\n", Options{Column: "gap"}, []float64{1.5, 2}},
		"trailing separators":  {"gap\n1.5,,\n2,,\n", Options{}, []float64{1.5, 2}},
		"exponents and spaces": {"gap\n 1.5e0\n+2E+0 \n", Options{}, []float64{1.5, 2}},
		"unit in brackets":     {"gap [mm]\n1.5\n2\n", lengths, []float64{1.5e-3, 2e-3}},
		"unit in parentheses":  {"part,gap (mm)\n1,1.5\n2,2\n", lengths, []float64{1.5e-3, 2e-3}},
		"row of units":         {"part;gap\n-;mm\n1;1.5\n2;2\n", lengths, []float64{1.5e-3, 2e-3}},
		"bracketed units":      {"part;gap\n;[m]\n1;1.5\n2;2\n", lengths, []float64{1.5, 2}},
		"Latin-1":              {"gap [\xb5m]\n1.5\n2\n", lengths, []float64{1.5 * 1e-6, 2e-6}},
		"unit twice, the same": {"gap [um]\n1.5\n", Options{Unit: "µm", Convert: inMillimetres}, []float64{1.5 * 1e-6}},
		"unit asked for":       {"gap\n1.5\n", Options{Unit: "mm", Convert: inMillimetres}, []float64{1.5e-3}},
		"no header, a unit":    {"1.5\n", Options{Unit: "mm", Convert: inMillimetres}, []float64{1.5e-3}},
	} {
		t.Run(name, func(t *testing.T) {
			table, err := Read(iotest.OneByteReader(strings.NewReader(c.text)), c.options)
			require.NoError(t, err)
			assert.Equal(t, c.want, table.Values)
		})
	}
}

func TestGroupsAndLines(t *testing.T) {
	text := "sep=;\n# audit\nlot;torque [N*m]\n\nL1;2.5\nL2;<2.4\n\n\"L\n3\";>2.6\nL1;2.55\n"
	table, err := Read(strings.NewReader(text), Options{Column: "torque", Group: "LOT"})
	require.NoError(t, err)
	assert.Equal(t, "torque", table.Column)
	assert.Equal(t, "N*m", table.Unit)
	assert.Equal(t, []float64{2.5, 2.4, 2.6, 2.55}, table.Values)
	assert.Equal(t, []int{1}, table.Below)
	assert.Equal(t, []int{2}, table.Above)
	assert.Equal(t, []string{"L1", "L2", "L\n3"}, table.GroupNames)
	assert.Equal(t, []int32{0, 1, 2, 0}, table.Groups)
	assert.Equal(t, [][]float64{{2.5, 2.55}, {2.4}, {2.6}}, table.ByGroup())
	var lines []int
	for i := range table.Values {
		lines = append(lines, table.Line(i))
	}
	assert.Equal(t, []int{5, 6, 8, 10}, lines)
}

// Every bad cell is named, in one go.
func TestNamesEveryBadCell(t *testing.T) {
	text := "part,lot,torque\n" +
		"1,A,2.5\n" +
		"2,A,\n" +
		"3,A,=SUM(C2:C3)\n" +
		"4,A,#DIV/0!\n" +
		"5,A,NaN\n" +
		"6,A,2.5 N*m\n" +
		"7,,2.5\n" +
		"8,A,\"2,5\"\n" +
		"9,A,2,5\n" +
		"10,A,\"2\"5\n" +
		"11,A,1e999\n" +
		"12,@A,0x10\n" +
		"13\n" +
		"14,A,1_0\n"
	_, err := Read(strings.NewReader(text), Options{Column: "torque", Group: "lot"})
	assert.EqualError(t, err, strings.Join([]string{
		`line 3, column 3 (torque): the cell is empty (delete the row if nothing was measured; where the gauge showed nothing, write <x with its least value x, or >x with its largest)`,
		`line 4, column 3 (torque): "=SUM(C2:C3)": a formula or a sign without a number (paste the values, not the formulas)`,
		`line 5, column 3 (torque): "#DIV/0!": an error of the spreadsheet`,
		`line 6, column 3 (torque): "NaN": not a number`,
		`line 7, column 3 (torque): "2.5 N*m": not a bare number (the unit belongs in the header)`,
		`line 8, column 2 (lot): the group is empty`,
		`line 9, column 3 (torque): "2,5": not a number (decimal commas? Say --decimal-comma, or decimal_comma = true in a study; thousands are not separated)`,
		`line 10: 4 cells, the first row has 3 (decimal commas? Say --decimal-comma, or decimal_comma = true in a study; they need another separator between the cells)`,
		`line 11: extraneous or missing " in quoted-field`,
		`line 12, column 3 (torque): "1e999": not a bare number (the unit belongs in the header)`,
		`line 13, column 3 (torque): "0x10": not a bare number (the unit belongs in the header)`,
		`line 13, column 2 (lot): "@A": a formula (paste the values, not the formulas)`,
		`line 14, column 3 (torque): the cell is empty (delete the row if nothing was measured; where the gauge showed nothing, write <x with its least value x, or >x with its largest)`,
		`line 14, column 2 (lot): the group is empty`,
		`line 15, column 3 (torque): "1_0": not a bare number (the unit belongs in the header)`,
	}, "\n"))
}

func TestRefusesWhatItCannotBeSureOf(t *testing.T) {
	for name, c := range map[string]struct {
		text    string
		options Options
		want    string
	}{
		"empty file":        {"", Options{}, "the file is empty"},
		"only a mark":       {"\ufeff", Options{}, "the file is empty"},
		"only comments":     {"# nothing\n", Options{}, "the file is empty"},
		"only a header":     {"torque\n", Options{}, "there are no readings"},
		"unknown column":    {"a,b\n1,2\n", Options{Column: "c"}, `line 1: there is no column "c" (the columns are "a", "b")`},
		"column number":     {"a,b\n1,2\n", Options{Column: "3"}, `line 1: there is no column "3" (the columns are "a", "b")`},
		"column twice":      {"a,b,a\n1,2,3\n", Options{Column: "a"}, `line 1: columns 1 and 3 are both called "a" (give the number of the column)`},
		"no column chosen":  {"a,b\n1,2\n", Options{}, `line 1: the file has 2 columns: say which one holds the readings (the columns are "a", "b")`},
		"unknown group":     {"a,b\n1,2\n", Options{Column: "a", Group: "lot"}, `line 1: there is no column "lot" (the columns are "a", "b")`},
		"unknown unit":      {"a [ft]\n1\n", Options{Convert: inMillimetres}, `unit "ft": no length`},
		"no unit":           {"a\n1\n", Options{Convert: inMillimetres}, `no length`},
		"contradicted unit": {"a [mm]\n1\n", Options{Unit: "m", Convert: inMillimetres}, `the unit asked for is "m", the file has "mm" (leave the unit out to take the file's, or correct the header)`},
		"NUL":               {"a\n1\n\x002\n", Options{}, "line 3: holds a NUL byte: this is no text file (save it as CSV in UTF-8)"},
		"old workbook":      {"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1", Options{}, "an old workbook (.xls), or one with a password (save it as .xlsx without a password, or as CSV)"},
		"sheet of a text":   {"a\n1\n", Options{Sheet: "torque"}, `no workbook, so there is no sheet "torque"`},
		"decimal commas": {"n;a\n1;0,70\n2;0,71\n3;0.72\n4;0,73\n", Options{Column: "a"},
			`line 2, column 2 (a): "0,70": not a number, as on 2 other lines (decimal commas? Say --decimal-comma, or decimal_comma = true in a study; thousands are not separated)`},
		"thousands":         {"a\n1.234,5\n", Options{DecimalComma: true}, `line 2, column 1 (a): "1.234,5": not a number (a decimal point among decimal commas? Thousands are not separated)`},
		"a point":           {"a\n1.5\n", Options{DecimalComma: true}, `line 2, column 1 (a): "1.5": not a number (a decimal point among decimal commas? Thousands are not separated)`},
		"formula as header": {"=1+1\n1\n", Options{}, `line 1, column 1 (=1+1): "=1+1": a formula (paste the values, not the formulas)`},
		"old line ends":     {"a\r1\r2\r", Options{}, "line 1, column 1: the lines end in CR (save it with LF or CRLF)"},
		"rows with a mark": {"n,a\n#1,0.7\n2,0.8\n#N/A,0.9\n# a remark, with a comma\n#Remark, as well\n#REF!", Options{Column: "a"},
			`line 2, column 1: "#1": an error of the spreadsheet, or a row taken for a comment (a comment has a blank behind #; no other line starts with it)` + "\n" +
				`line 4, column 1: "#N/A": an error of the spreadsheet, or a row taken for a comment (a comment has a blank behind #; no other line starts with it)` + "\n" +
				`line 7, column 1: "#REF!": an error of the spreadsheet, or a row taken for a comment (a comment has a blank behind #; no other line starts with it)`},
		"header with a mark": {"#,a\n1,0.7\n", Options{Column: "a"},
			`line 1, column 1: "#": an error of the spreadsheet, or a row taken for a comment (a comment has a blank behind #; no other line starts with it)` + "\n" +
				`line 2: there is no column "a" (the columns are "1", "0.7")`},
		"long group": {"a,g\n1," + strings.Repeat("g", 201) + "\n", Options{Column: "a", Group: "g"}, `line 2, column 2 (g): "` + strings.Repeat("g", 40) + `...": the name of a group has more than 200 bytes`},
	} {
		t.Run(name, func(t *testing.T) {
			table, err := Read(strings.NewReader(c.text), c.options)
			assert.EqualError(t, err, c.want)
			assert.Nil(t, table)
		})
	}
}

func TestListsFiftyProblemsAndCountsTheRest(t *testing.T) {
	_, err := Read(strings.NewReader("torque\n"+strings.Repeat("bad\n", 1000)), Options{})
	var problems *Problems
	require.ErrorAs(t, err, &problems)
	assert.Len(t, problems.Listed, 50)
	assert.Equal(t, 950, problems.More)
	assert.True(t, strings.HasSuffix(err.Error(), "\nand 950 more"))
}

func TestErrorOfTheSourceIsPassedOn(t *testing.T) {
	_, err := Read(iotest.ErrReader(errors.New("disk gone")), Options{})
	require.EqualError(t, err, "disk gone")
	_, err = Read(iotest.TimeoutReader(iotest.OneByteReader(strings.NewReader("a\n1\n"))), Options{})
	require.ErrorIs(t, err, iotest.ErrTimeout)
}

// Whatever numbers go in come out, however the file is laid out.
func TestReadsBackWhatWasWritten(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		values := rapid.SliceOfN(rapid.Float64(), 1, 30).Draw(t, "values")
		separator := rapid.SampledFrom([]string{",", ";", "\t", "|"}).Draw(t, "separator")
		end := rapid.SampledFrom([]string{"\n", "\r\n"}).Draw(t, "line end")
		var b strings.Builder
		b.WriteString("part" + separator + "x" + end)
		for i, x := range values {
			fmt.Fprintf(&b, "%d%s%v%s", i, separator, x, end)
		}
		table, err := Read(strings.NewReader(b.String()), Options{Column: "x"})
		require.NoError(t, err)
		assert.Equal(t, values, table.Values)
	})
}

func FuzzRead(f *testing.F) {
	for _, seed := range []string{"a\n1\n", "sep=;\na;b\n1,5;\"x\"\n", "\ufeffa [mm]\r\n<1\r\n", "\"", "#\n\n", "a,b\n\"1\n2\",3\n"} {
		f.Add(seed, true)
	}
	f.Fuzz(func(t *testing.T, text string, decimalComma bool) {
		table, err := Read(strings.NewReader(text), Options{Column: "1", Group: "1", DecimalComma: decimalComma})
		if (table == nil) == (err == nil) {
			t.Fatal("neither a table nor an error, or both")
		}
		if err == nil {
			for i := range table.Values {
				table.Line(i)
			}
		}
	})
}

func TestHeaders(t *testing.T) {
	names, err := Headers(strings.NewReader("\ufeff# a rig\n\ntorque [N*m]; left edge (°C);card\n0.5;70;A\n"), Options{})
	require.NoError(t, err)
	assert.Equal(t, []string{"torque", "left edge", "card"}, names)
	for text, want := range map[string]string{
		"":                           "the file is empty",
		"# only a comment\n":         "the file is empty",
		strings.Repeat("a,", 20_000): "at most 16384 are read",
		"a\x00b\n":                   "NUL byte",
	} {
		_, err := Headers(strings.NewReader(text), Options{})
		assert.ErrorContains(t, err, want)
	}
}

// A word for a reading beyond the gauge says less than the bound: the limit is asked for.
func TestWordsForBoundsAskForTheLimit(t *testing.T) {
	_, err := Read(strings.NewReader("flatness [um]\n<5\nLOD\n>20\nn.d.\n7\n<LOQ\n"), Options{})
	require.Error(t, err)
	for _, line := range []string{"line 3", "line 5", "line 7"} {
		assert.Contains(t, err.Error(), line)
	}
	assert.NotContains(t, err.Error(), "line 2")
	assert.Contains(t, err.Error(), "write <x with its least value")
}

func TestLotColumnsAreNoticed(t *testing.T) {
	const text = "no,torque [N*m],Lot no.,operator,place\n1,0.7,A,x,1\n2,0.8,B,y,2\n"
	table, err := Read(strings.NewReader(text), Options{Column: "torque"})
	require.NoError(t, err)
	assert.Equal(t, []string{"Lot no.", "operator"}, table.LotColumns)
	table, err = Read(strings.NewReader(text), Options{Column: "torque", Group: "operator"})
	require.NoError(t, err)
	assert.Empty(t, table.LotColumns)
}

// A column of blanks is told once, whatever its length.
func TestABlankColumnIsToldOnce(t *testing.T) {
	_, err := Read(strings.NewReader("part,torque\n"+strings.Repeat("1,\n", 60)), Options{Column: "torque"})
	assert.EqualError(t, err, "line 2, column 2 (torque): every cell of the column is empty")
	_, err = Read(strings.NewReader("part,torque\n1,0.7\n2,\n"), Options{Column: "torque"})
	assert.ErrorContains(t, err, "line 3, column 2 (torque): the cell is empty (delete")
}
