package reports

// CalibrationSchema names the form of the JSON of a calibration.
const CalibrationSchema = "clampodds.calibration/1"

// Calibration is what thermal readings say of inputs that are not known. Numbers
// are in SI units, the unit beside them.
type Calibration struct {
	Schema     string     `json:"schema"`
	Provenance Provenance `json:"provenance"`
	// Condition is the one of the study that the readings were taken in, empty for
	// the study as written.
	Condition  string  `json:"condition,omitempty"`
	Data       string  `json:"data"`
	DataDigest string  `json:"data_digest_sha256"`
	Rows       int     `json:"rows"`
	Cards      int     `json:"cards"`
	Seed       uint64  `json:"seed"`
	Draws      int     `json:"draws"`
	Unusable   float64 `json:"unusable_draws"`
	GridPoints int     `json:"grid_points"`
	Level      float64 `json:"level"`

	Parameters []CalibratedParameter `json:"parameters"`
	// Correlation of the parameters' normal scores after the readings, row by row.
	Correlation [][]float64 `json:"correlation,omitempty"`
	// LogEvidence is the natural logarithm of the density of the readings on their
	// scale, to compare studies on the same readings.
	LogEvidence float64              `json:"log_evidence"`
	Readings    []CalibrationReading `json:"readings"`
	Spread      []CalibrationSpread  `json:"spread"`
	// SpreadOf says what the shares of the spread are of; empty: they are in Unit.
	SpreadOf string             `json:"spread_of,omitempty"`
	Trends   []CalibrationTrend `json:"trends"`
	Surprise CalibrationTest    `json:"surprise"`
	Assumed  []string           `json:"assumed"`
	// Fragment is a study that extends the one read by the narrowed inputs.
	Fragment string    `json:"fragment"`
	Warnings []Warning `json:"warnings,omitempty"`
}

// CalibratedParameter is one input before and after the readings.
type CalibratedParameter struct {
	Key    string           `json:"key"`
	Unit   string           `json:"unit"`
	Shown  Unit             `json:"-"`
	Before CalibrationRange `json:"before"`
	After  CalibrationRange `json:"after"`
	Mean   float64          `json:"mean"`
	StdDev float64          `json:"sd"`
	// LogMedian and SigmaLn are the lognormal distribution of the fragment.
	LogMedian float64 `json:"lognormal_median"`
	SigmaLn   float64 `json:"lognormal_sigma_ln"`
	// Left is the standard deviation of the normal score after the readings; it
	// was 1 before.
	Left float64 `json:"spread_left"`
	// Entry is the value of the key, ready to paste into a study.
	Entry string             `json:"entry"`
	Curve []CalibrationPoint `json:"density"`
}

// CalibrationRange is a median with an interval.
type CalibrationRange struct {
	Median float64 `json:"median"`
	Interval
}

// CalibrationPoint is a point of both densities, in 1 over the unit.
type CalibrationPoint struct {
	Value  float64 `json:"value"`
	Before float64 `json:"before"`
	After  float64 `json:"after"`
}

// CalibrationReading is one reading with what was to be expected.
type CalibrationReading struct {
	Line     int    `json:"line"`
	Card     string `json:"card,omitempty"`
	Quantity string `json:"quantity"`
	Label    string `json:"label"`
	Unit     string `json:"unit"`
	Shown    Unit   `json:"-"`
	// Difference is Shown for differences.
	Difference Unit         `json:"-"`
	Conditions []NamedValue `json:"conditions"`
	Value      float64      `json:"value"`
	Noise      float64      `json:"noise"`
	// Before and After are of a further card under the same conditions, noise
	// included.
	Before       CalibrationRange `json:"before"`
	After        CalibrationRange `json:"after"`
	Residual     float64          `json:"residual"`
	Standardised float64          `json:"standardised_residual"`
}

// CalibrationSpread is one source of the spread of a reading, as a standard
// deviation.
type CalibrationSpread struct {
	Name  string  `json:"name"`
	Label string  `json:"label"`
	Unit  string  `json:"unit"`
	Shown Unit    `json:"-"`
	Value float64 `json:"value"`
}

// CalibrationTest is a test with its probability.
type CalibrationTest struct {
	Method      string  `json:"method"`
	Statistic   float64 `json:"statistic"`
	Freedom     int     `json:"degrees_of_freedom,omitempty"`
	Probability float64 `json:"p"`
}

// CalibrationTrend is the change of the first parameter that a condition would
// ask for.
type CalibrationTrend struct {
	Against string `json:"against"`
	// From and To are the parameter's values at the smallest and the largest value
	// of the condition.
	From    float64         `json:"from"`
	To      float64         `json:"to"`
	Shown   Unit            `json:"-"`
	Test    CalibrationTest `json:"test"`
	Flagged bool            `json:"flagged"`
	// Hint says what a trend points to.
	Hint string `json:"hint"`
}
