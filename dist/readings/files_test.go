package readings

import (
	"bufio"
	"bytes"
	"os"
	"strings"
	"testing"
	"testing/iotest"
	"unicode/utf16"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"github.com/xuri/excelize/v2"
	"pgregory.net/rapid"
)

func TestReadsASheet(t *testing.T) {
	text, err := os.ReadFile("../../testdata/studies/incoming.xlsx")
	require.NoError(t, err)
	table, err := Read(bytes.NewReader(text), Options{Sheet: "flatness", Column: "flatness", Group: "lot"})
	require.NoError(t, err)
	assert.Equal(t, "reading flatness", table.Column)
	assert.Equal(t, "um", table.Unit)
	require.Len(t, table.Values, 48)
	assert.Equal(t, []float64{18, 15, 21}, table.Values[:3]) // as the sheet shows them in D5 to D7
	assert.Equal(t, []string{"K21", "K22", "K24"}, table.GroupNames)
	assert.Equal(t, int32(2), table.Groups[47])
	assert.Equal(t, 52, table.Line(47))
	assert.Equal(t, []string{"D25: plate cleaned, read again"}, table.Notes)

	names, err := Headers(bytes.NewReader(text), Options{Sheet: "gauge study"})
	require.NoError(t, err)
	assert.Equal(t, []string{"part", "operator", "repeat", "flatness"}, names)
	_, err = Read(bytes.NewReader(text), Options{Sheet: "flatness", Column: "read on"})
	assert.ErrorContains(t, err, `cell E5 (reading read on): "2026-10-12": not a bare number (the unit belongs in the header)`)
}

// Of two columns the one that does not name the lots has the readings.
func TestTheOtherColumnHasTheReadings(t *testing.T) {
	for _, text := range []string{"lot,height [mm]\nA,1\nB,2\n", "height [mm],lot\n1,A\n2,B\n"} {
		table, err := Read(strings.NewReader(text), Options{Group: "lot"})
		require.NoError(t, err)
		assert.Equal(t, "height", table.Column)
		assert.Equal(t, []float64{1, 2}, table.Values)
		assert.Equal(t, []string{"A", "B"}, table.GroupNames)
	}
	_, err := Read(strings.NewReader("lot,a,b\nA,1,2\n"), Options{Group: "lot"})
	assert.ErrorContains(t, err, "say which one holds the readings")
}

func TestRefusesCellsOfASheetByTheirAddress(t *testing.T) {
	f := excelize.NewFile()
	for at, value := range map[string]any{"A1": "n", "B1": "torque [N*m]", "A2": 1, "B2": 0.7, "A3": 2, "B3": 0.71, "A4": 3, "B4": 0.72, "A5": 4, "B5": "0,73", "A6": 5, "A7": 6, "B7": 0.74, "C7": "loose"} {
		require.NoError(t, f.SetCellValue("Sheet1", at, value))
	}
	require.NoError(t, f.MergeCell("Sheet1", "B2", "B3"))
	require.NoError(t, f.SetRowVisible("Sheet1", 4, false))
	var b bytes.Buffer
	require.NoError(t, f.Write(&b))
	_, err := Read(&b, Options{Column: "torque"})
	assert.EqualError(t, err, strings.Join([]string{
		`cell B2 (torque [N*m]): "0.7": part of a merged cell (one reading or several? Split the cell)`,
		`cell B3 (torque [N*m]): "0.7": part of a merged cell (one reading or several? Split the cell)`,
		`cell B4 (torque [N*m]): "0.72": the row is hidden (show it, or delete it)`,
		`cell B5 (torque [N*m]): "0,73": not a number (` + decimalCommas + `)`,
		`cell B6 (torque [N*m]): the cell is empty (delete the row if nothing was measured; ` + writeBound + `)`,
		`row 7: 3 cells, the first row has 2`,
	}, "\n"))
}

// inUTF16 is a text in UTF-16, low byte first or last.
func inUTF16(text string, lowFirst bool) []byte {
	var b []byte
	for _, u := range utf16.Encode([]rune(text)) {
		low, high := byte(u), byte(u>>8)
		if !lowFirst {
			low, high = high, low
		}
		b = append(b, low, high)
	}
	return b
}

func TestReadsUTF16(t *testing.T) {
	const text = "Los;Drehmoment [N·m]\r\nα𝄞;0.70\r\nβ;0.71\r\n"
	for name, file := range map[string][]byte{
		"mark, low byte first":  inUTF16("\ufeff"+text, true),
		"mark, high byte first": inUTF16("\ufeff"+text, false),
		"low byte first":        inUTF16(text, true),
		"high byte first":       inUTF16(text, false),
	} {
		table, err := Read(iotest.OneByteReader(bytes.NewReader(file)), Options{Column: "Drehmoment", Group: "Los"})
		require.NoError(t, err, name)
		assert.Equal(t, []float64{0.70, 0.71}, table.Values, name)
		assert.Equal(t, []string{"α𝄞", "β"}, table.GroupNames, name)
		assert.Equal(t, "N·m", table.Unit, name)
	}
	_, err := Read(bytes.NewReader(append(inUTF16("\ufeffa\n1\n", true), '2')), Options{})
	assert.ErrorContains(t, err, "\ufffd", "half a character at the end")
}

// Any text comes out of UTF-16 as it went in, and as the standard library decodes it.
func TestUTF16IsDecoded(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		units := rapid.SliceOf(rapid.OneOf(rapid.Uint16(), rapid.Uint16Range(0xd800, 0xdfff))).Draw(t, "units")
		file := []byte{0xff, 0xfe}
		for _, u := range units {
			file = append(file, byte(u), byte(u>>8))
		}
		var got bytes.Buffer
		_, err := got.ReadFrom(wide(bufio.NewReader(bytes.NewReader(file)), file[:2]))
		require.NoError(t, err)
		assert.Equal(t, "\ufeff"+string(utf16.Decode(units)), got.String())
	})
}

func TestUnitWithoutBrackets(t *testing.T) {
	for header, want := range map[string]headed{
		"length / mm":      {"length / mm", "length", "mm"},
		"length/mm":        {"length/mm", "length", "mm"},
		"length in mm":     {"length in mm", "length", "mm"},
		"length, mm":       {"length, mm", "length", "mm"},
		"left, right":      {"left, right", "left, right", ""},
		"left [mm]":        {"left [mm]", "left", "mm"},
		"measured in lots": {"measured in lots", "measured in lots", ""},
	} {
		assert.Equal(t, want, Options{Convert: inMillimetres}.bareUnit(takeApart(header)), header)
	}
}
