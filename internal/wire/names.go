package wire

// CalcName is one calculation of the machine door.
type CalcName struct {
	Name    string
	What    string
	Example string
	Run     func(in []byte) ([]byte, error)
}

// CalcNames lists the calculations that read and write JSON.
func CalcNames() []CalcName {
	return []CalcName{
		{"electrodes", "resistance, transfer and potentials of electrodes in layered soil", "stubup calc electrodes < in.json", CalcElectrodes},
		{"sounding", "apparent resistivity of layered soil, Wenner or Schlumberger", "stubup calc sounding < in.json", CalcSounding},
		{"soil-fit", "layers that explain a four-pin survey, with 90 % intervals and bad readings named", "stubup calc soil-fit < in.json", CalcSoilFit},
	}
}
