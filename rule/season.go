package rule

import _ "embed" // the figure beside this file

//go:embed season.csv
var seasonCSV string

var season = FiguresOf(seasonCSV)

// Season returns the margin, as a share of a resistance limit, under which a
// dry or frozen top layer can turn a value that holds into one that does not.
func Season() float64 { return season.Num("season") }
