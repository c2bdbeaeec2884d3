package reports

import (
	"bytes"
	"encoding/json"
	"io"
	"math"
	"reflect"
	"strings"
)

// WriteJSON writes a result as encoding/json would, with one difference: JSON has no
// infinities and no NaN. They are written as null, and a warning beside them says why.
func WriteJSON(w io.Writer, result any) error {
	var compact, indented bytes.Buffer
	if err := writeValue(&compact, reflect.ValueOf(result)); err != nil {
		return err
	}
	if err := json.Indent(&indented, bytes.TrimSpace(compact.Bytes()), "", "  "); err != nil {
		return err
	}
	indented.WriteByte('\n')
	_, err := indented.WriteTo(w)
	return err
}

// writeValue walks down to what holds no numbers of its own.
func writeValue(b *bytes.Buffer, v reflect.Value) error {
	switch v.Kind() {
	case reflect.Float64:
		if x := v.Float(); math.IsNaN(x) || math.IsInf(x, 0) {
			b.WriteString("null")
			return nil
		}
	case reflect.Pointer, reflect.Interface:
		if !v.IsNil() {
			return writeValue(b, v.Elem())
		}
	case reflect.Struct:
		return writeFields(b, v)
	case reflect.Slice:
		if !v.IsNil() {
			return writeList(b, "[]", v.Len(), func(i int) error { return writeValue(b, v.Index(i)) })
		}
	}
	e := json.NewEncoder(b)
	e.SetEscapeHTML(false)
	return e.Encode(v.Interface())
}

// writeFields writes a struct. Fields of what it embeds count as its own; what is embedded by a pointer
// may be nil.
func writeFields(b *bytes.Buffer, v reflect.Value) error {
	var names []string
	var values []reflect.Value
	for _, f := range reflect.VisibleFields(v.Type()) {
		name, options, _ := strings.Cut(f.Tag.Get("json"), ",")
		value, err := v.FieldByIndexErr(f.Index)
		if err != nil || name == "-" || f.Anonymous || !f.IsExported() || options == "omitempty" && empty(value) {
			continue
		}
		names, values = append(names, name), append(values, value)
	}
	return writeList(b, "{}", len(names), func(i int) error {
		b.WriteString(`"` + names[i] + `":`) // plain words
		return writeValue(b, values[i])
	})
}

// empty is what omitempty leaves out.
func empty(v reflect.Value) bool {
	if v.Kind() == reflect.Slice {
		return v.Len() == 0
	}
	return v.IsZero()
}

func writeList(b *bytes.Buffer, brackets string, n int, item func(i int) error) error {
	b.WriteByte(brackets[0])
	for i := range n {
		if i > 0 {
			b.WriteByte(',')
		}
		if err := item(i); err != nil {
			return err
		}
	}
	b.WriteByte(brackets[1])
	return nil
}
