package sheet

import (
	"bytes"
	"os"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"github.com/xuri/excelize/v2"
)

// incoming was written by LibreOffice Calc 7.4.7 as .xlsx: two sheets; a title merged over five columns,
// headers merged over three and two, a lot over sixteen rows, a comment at D25, dates.
func incoming(t *testing.T) []byte {
	t.Helper()
	text, err := os.ReadFile("../../testdata/studies/incoming.xlsx")
	require.NoError(t, err)
	return text
}

func TestReadsWhatASpreadsheetWrote(t *testing.T) {
	s, err := Read(incoming(t), "Flatness")
	require.NoError(t, err)
	assert.Equal(t, "flatness", s.Name)
	require.Len(t, s.Rows, 49)
	assert.Equal(t, Row{Number: 4, Cells: []string{"part lot", "part card", "part edge", "reading flatness [um]", "reading read on"}}, s.Rows[0])
	last := s.Rows[48]
	assert.Equal(t, 52, last.Number)
	assert.Equal(t, "K24", last.Cells[0], "in every cell that the merged one covers")
	assert.Equal(t, "2026-10-14", last.Cells[4], "a date as shown")
	assert.True(t, last.Merged[0])
	assert.False(t, last.Merged[3])
	assert.Equal(t, map[int]string{3: "plate cleaned, read again"}, s.Rows[25-4].Notes)

	s, err = Read(incoming(t), "gauge study")
	require.NoError(t, err)
	assert.Len(t, s.Rows, 61)
	assert.Equal(t, []string{"part", "operator", "repeat", "flatness [um]"}, s.Rows[0].Cells)
}

func TestAsksForTheSheet(t *testing.T) {
	_, err := Read(incoming(t), "")
	assert.EqualError(t, err, `the workbook has 2 sheets with cells: say which one; the sheets are "flatness", "gauge study"`)
	_, err = Read(incoming(t), "torque")
	assert.EqualError(t, err, `there is no sheet "torque": the sheets are "flatness", "gauge study"`)
	_, err = Read([]byte("PK\x03\x04 and no more"), "")
	assert.ErrorContains(t, err, "no workbook that can be read")
}

// workbook has the cells of one sheet, by address; change may dress them.
func workbook(t *testing.T, cells map[string]any, change func(f *excelize.File)) *Sheet {
	t.Helper()
	f := excelize.NewFile()
	for at, value := range cells {
		require.NoError(t, f.SetCellValue("Sheet1", at, value))
	}
	if change != nil {
		change(f)
	}
	var b bytes.Buffer
	require.NoError(t, f.Write(&b))
	s, err := Read(b.Bytes(), "")
	require.NoError(t, err)
	return s
}

func TestWhatOnlyLooksLikeANumber(t *testing.T) {
	s := workbook(t, map[string]any{"A1": "a", "A2": 0.7, "A3": 0.05, "A4": true, "A5": 46307, "A6": 1, "A7": 2, "A8": 0.715625, "A9": 46307.5}, func(f *excelize.File) {
		style := func(cell string, s excelize.Style) {
			id, err := f.NewStyle(&s)
			require.NoError(t, err)
			require.NoError(t, f.SetCellStyle("Sheet1", cell, cell, id))
		}
		unit, date, hours := `0.00 "mm"`, "[$-409]d/m/yy", "[h]:mm"
		style("A2", excelize.Style{CustomNumFmt: &unit})
		style("A3", excelize.Style{NumFmt: 9})
		style("A5", excelize.Style{CustomNumFmt: &date})
		style("A9", excelize.Style{CustomNumFmt: &hours})
		require.NoError(t, f.SetCellFormula("Sheet1", "A6", "AVERAGE(A2:A3)"))
		require.NoError(t, f.SetCellFormula("Sheet1", "A7", "A2*2"))
		require.NoError(t, f.SetCellFormula("Sheet1", "A10", "A2*3")) // never computed
	})
	var got []string
	for _, r := range s.Rows[1:] {
		got = append(got, r.Cells[0])
	}
	assert.Equal(t, []string{"0.7", "5%", "TRUE", "12/10/26", "=AVERAGE(A2:A3)", "2", "0.715625", "1111380:00", "=A2*3"}, got)
}

func TestHeaders(t *testing.T) {
	merge := func(from, to string) func(f *excelize.File) {
		return func(f *excelize.File) { require.NoError(t, f.MergeCell("Sheet1", from, to)) }
	}
	s := workbook(t, map[string]any{"A1": "a remark alone", "A3": "n", "B3": "torque [N*m]", "A4": 1, "B4": 0.7}, nil)
	assert.Equal(t, Row{Number: 3, Cells: []string{"n", "torque [N*m]"}}, s.Rows[0], "behind a title that is not merged")
	s = workbook(t, map[string]any{"A1": "n", "B1": "torque", "B2": "left", "C2": "right", "A3": 1, "B3": 0.7, "C3": 0.8}, merge("B1", "C1"))
	assert.Equal(t, Row{Number: 2, Cells: []string{"n", "torque left", "torque right"}}, s.Rows[0])
	s = workbook(t, map[string]any{"A1": "n", "B1": "torque", "B2": "[N*m]", "A3": 1, "B3": 0.7}, merge("A1", "A2"))
	assert.Equal(t, Row{Number: 2, Cells: []string{"n", "torque [N*m]"}}, s.Rows[0])
	s = workbook(t, map[string]any{"A1": "torque", "A2": 0.7, "A3": 0.8}, nil)
	assert.Equal(t, Row{Number: 1, Cells: []string{"torque"}}, s.Rows[0])
	s = workbook(t, map[string]any{"A1": "torque"}, nil)
	assert.Len(t, s.Rows, 1)
}

func TestHiddenRowsAreMarked(t *testing.T) {
	s := workbook(t, map[string]any{"A1": "a", "A2": 1, "A3": 2}, func(f *excelize.File) {
		require.NoError(t, f.SetRowVisible("Sheet1", 3, false))
	})
	assert.Equal(t, []bool{false, false, true}, []bool{s.Rows[0].Hidden, s.Rows[1].Hidden, s.Rows[2].Hidden})
}
