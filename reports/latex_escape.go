package reports

import "strings"

// latexSpecial escapes what LaTeX reads as a command, and spells out what not
// every engine and font has. Letters outside pass as UTF-8.
var latexSpecial = strings.NewReplacer(
	`\`, `\textbackslash{}`, `{`, `\{`, `}`, `\}`, `$`, `\$`, `&`, `\&`, `#`, `\#`, `%`, `\%`, `_`, `\_`,
	`^`, `\textasciicircum{}`, `~`, `\textasciitilde{}`, `<`, `\textless{}`, `>`, `\textgreater{}`, `|`, `\textbar{}`, `"`, `{\char34}`,
	// A replacement character stands for bytes that were no text.
	"\ufffd", "?",
	// No ligatures.
	"--", "-{}-{}", "`", "{`}", "''", "'{}'{}",
	"°", `\textdegree{}`, "µ", `\textmu{}`, "μ", `\textmu{}`, "·", `\textperiodcentered{}`, "…", `\ldots{}`,
	"²", `\textsuperscript{2}`, "³", `\textsuperscript{3}`, "⁻", `\textsuperscript{-}`, "¹", `\textsuperscript{1}`,
	"×", `\ensuremath{\times}`, "÷", `\ensuremath{\div}`, "±", `\ensuremath{\pm}`, "−", `\ensuremath{-}`,
	"≤", `\ensuremath{\leq}`, "≥", `\ensuremath{\geq}`, "≈", `\ensuremath{\approx}`, "∞", `\ensuremath{\infty}`, "√", `\ensuremath{\surd}`,
	"→", `\ensuremath{\rightarrow}`, "α", `\ensuremath{\alpha}`, "β", `\ensuremath{\beta}`, "Δ", `\ensuremath{\Delta}`,
	"θ", `\ensuremath{\theta}`, "λ", `\ensuremath{\lambda}`, "ρ", `\ensuremath{\rho}`, "σ", `\ensuremath{\sigma}`, "τ", `\ensuremath{\tau}`,
	"φ", `\ensuremath{\varphi}`, "ψ", `\ensuremath{\psi}`, "Φ", `\ensuremath{\Phi}`, "Ω", `\ensuremath{\Omega}`,
)

func latex(s string) string {
	s = latexSpecial.Replace(plain(s))
	if strings.HasPrefix(s, "[") || strings.HasPrefix(s, "*") {
		return "{}" + s // the end of the row before would take it for an option
	}
	return s
}
