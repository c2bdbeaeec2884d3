package reports

import (
	"fmt"
	"io"
	"strings"
)

// WriteLatexTable writes t as a fragment to \input into a document that uses the
// packages booktabs, array and longtable, UTF-8 and any engine. The table breaks
// between rows from page to page and repeats its heads. Its number is the one of
// the model, whatever the document counts.
func WriteLatexTable(w io.Writer, t *Table) error {
	p := &printer{w: w}
	// \par ends what stands before; the group keeps size and number inside.
	size, _ := latexType(t)
	p.line(`\par\begingroup` + size + latexNumber("table", t.Number))
	p.line(`\setlength{\tabcolsep}{3pt}\setlength{\LTleft}{0pt}\setlength{\LTright}{0pt plus 1fill}`)
	p.line(`\begin{longtable}{@{}` + latexColumns(t) + `@{}}`)
	heads := latexRow(t.heads())
	repeated := `\toprule` + "\n" + heads + "\n" + `\midrule`
	if t.Caption == "" && t.Number == "" {
		p.line(repeated + "\n" + `\endhead`)
	} else {
		p.line(`\caption{` + latex(t.Caption) + `}\\*`)
		p.line(repeated + "\n" + `\endfirsthead`)
		p.line(repeated + "\n" + `\endhead`)
	}
	p.line(`\bottomrule` + "\n" + `\endfoot`)
	for _, group := range t.groups() {
		for i, row := range group {
			end := ""
			if i < len(group)-1 {
				end = "*" // no page break here
			}
			p.line(latexRow(row) + end)
		}
	}
	p.line(`\end{longtable}` + latexUncount("table", t.Number))
	for _, n := range t.Notes {
		p.line(`\noindent ` + latex(n) + `\par`)
	}
	p.line(`\endgroup`)
	return p.err
}

// WriteLatexFigure writes f as a fragment that shows the picture at path, as
// \includegraphics of the package graphicx finds it.
func WriteLatexFigure(w io.Writer, f *Figure, path string) error {
	p := &printer{w: w}
	p.line(`\begin{figure}[htbp]` + "\n" + `\centering`)
	p.line(`\includegraphics[width=\linewidth]{` + path + `}`)
	p.line(latexNumber("figure", f.Number) + `\caption{` + latex(f.Caption) + `}` + latexUncount("figure", f.Number))
	p.line(`\end{figure}`)
	return p.err
}

// latexNumber gives a caption the model's number; without one the document
// counts.
func latexNumber(kind, number string) string {
	if number == "" {
		return ""
	}
	return `\renewcommand{\the` + kind + `}{` + latex(number) + `}`
}

// latexUncount takes back that the document counted, so that its own numbers have
// no gap.
func latexUncount(kind, number string) string {
	if number == "" {
		return ""
	}
	return `\addtocounter{` + kind + `}{-1}`
}

func latexRow(cells []string) string { return strings.Join(escapeAll(cells, latex), " & ") + ` \\` }

// latexType is the size of a table's type and the characters that a line of it
// holds on an A4 or Letter page.
func latexType(t *Table) (size string, line int) {
	switch _, total := columnCharacters(t); {
	case total <= 85:
		return `\small`, 85
	case total <= 105:
		return `\footnotesize`, 105
	}
	return `\scriptsize`, 125
}

// latexColumns aligns the columns; where the table is too wide, its long texts
// break.
func latexColumns(t *Table) string {
	_, line := latexType(t)
	widths, broken := fitColumns(t, line)
	var b strings.Builder
	for i, c := range t.Columns {
		switch {
		case c.Number:
			b.WriteByte('r')
		case broken[i]:
			fmt.Fprintf(&b, `>{\raggedright\arraybackslash}p{%.2f\linewidth}`, float64(widths[i])/float64(line))
		default:
			b.WriteByte('l')
		}
	}
	return b.String()
}
