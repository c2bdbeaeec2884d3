package result

// Warning says what to mind about a number or a result.
type Warning struct {
	Code WarningCode `json:"code"`
	Text string      `json:"text"`
}

// WarningCode names a kind of warning; codes do not change between versions.
type WarningCode string
