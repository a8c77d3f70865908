// Package holiday knows on which days a country, or a part of it, does not work.
//
// It wraps the tables of github.com/rickar/cal and speaks of civil dates only. Where a
// holiday that falls on a weekend is kept on another day, that day is free too. Days on
// which one house is closed are not here: they are its own, and go into its
// [calendar.Week] beside these.
package holiday

import (
	"slices"

	"github.com/rickar/cal/v2"
	"github.com/rickar/cal/v2/at"
	"github.com/rickar/cal/v2/au"
	"github.com/rickar/cal/v2/be"
	"github.com/rickar/cal/v2/ca"
	"github.com/rickar/cal/v2/ch"
	"github.com/rickar/cal/v2/de"
	"github.com/rickar/cal/v2/dk"
	"github.com/rickar/cal/v2/es"
	"github.com/rickar/cal/v2/fr"
	"github.com/rickar/cal/v2/gb"
	"github.com/rickar/cal/v2/ie"
	"github.com/rickar/cal/v2/it"
	"github.com/rickar/cal/v2/nl"
	"github.com/rickar/cal/v2/no"
	"github.com/rickar/cal/v2/nz"
	"github.com/rickar/cal/v2/pl"
	"github.com/rickar/cal/v2/se"
	"github.com/rickar/cal/v2/us"
)

// Region is where a table holds: a country of ISO 3166-1, with a part of it after a
// hyphen as in ISO 3166-2, in capitals, such as US or DE-BY.
type Region string

// tables are the holidays by region.
var tables = map[Region][]*cal.Holiday{
	"US": us.Holidays, "GB": gb.Holidays, "IE": ie.Holidays, "CA": ca.Holidays, "NZ": nz.Holidays,
	"AU": au.HolidaysNSW, "AU-NSW": au.HolidaysNSW, "AU-VIC": au.HolidaysVIC, "AU-QLD": au.HolidaysQLD,
	"AU-SA": au.HolidaysSA, "AU-WA": au.HolidaysWA, "AU-TAS": au.HolidaysTAS, "AU-ACT": au.HolidaysACT, "AU-NT": au.HolidaysNT,
	"DE": de.Holidays, "DE-BW": de.HolidaysBW, "DE-BY": de.HolidaysBY, "DE-BE": de.HolidaysBE, "DE-BB": de.HolidaysBB,
	"DE-HB": de.HolidaysHB, "DE-HH": de.HolidaysHH, "DE-HE": de.HolidaysHE, "DE-MV": de.HolidaysMV, "DE-NI": de.HolidaysNI,
	"DE-NW": de.HolidaysNW, "DE-RP": de.HolidaysRP, "DE-SL": de.HolidaysSL, "DE-SN": de.HolidaysSN, "DE-ST": de.HolidaysST,
	"DE-SH": de.HolidaysSH, "DE-TH": de.HolidaysTH,
	"AT": at.Holidays, "CH": ch.Holidays, "CH-ZH": ch.HolidaysZH, "CH-BE": ch.HolidaysBE, "CH-GE": ch.HolidaysGE, "CH-BS": ch.HolidaysBS,
	"FR": fr.Holidays, "BE": be.Holidays, "NL": nl.Holidays, "IT": it.Holidays, "ES": es.Holidays,
	"DK": dk.Holidays, "SE": se.Holidays, "NO": no.Holidays, "PL": pl.Holidays,
}

// Regions lists the regions that have a table, in order.
func Regions() []Region {
	out := make([]Region, 0, len(tables))
	for r := range tables {
		out = append(out, r)
	}
	slices.Sort(out)
	return out
}

// Known reports whether there is a table for r.
func Known(r Region) bool { return tables[r] != nil }
