package readings

import (
	"bytes"
	"fmt"
	"testing"
)

func BenchmarkRead(b *testing.B) {
	var one, many bytes.Buffer
	one.WriteString("torque [N*m]\n")
	many.WriteString("time;tool;lot;torque [N*m]\r\n")
	for i := range 100_000 {
		fmt.Fprintf(&one, "%.2f\n", 2+float64(i%97)/100)
		fmt.Fprintf(&many, "2026-01-01T10:00:00;tool %d;%d;%.4f\r\n", i%7, i%31, 2+float64(i%9973)/1e4)
	}
	for _, c := range []struct {
		name    string
		text    []byte
		options Options
	}{
		{"columns=1", one.Bytes(), Options{}},
		{"columns=4", many.Bytes(), Options{Column: "torque", Group: "tool"}},
	} {
		b.Run(c.name, func(b *testing.B) {
			b.SetBytes(int64(len(c.text)))
			b.ReportAllocs()
			for b.Loop() {
				if _, err := Read(bytes.NewReader(c.text), c.options); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
