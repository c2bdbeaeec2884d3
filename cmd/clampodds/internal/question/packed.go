package question

import (
	"bytes"
	"compress/flate"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io"
)

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
