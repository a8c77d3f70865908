package holiday_test

import (
	"strings"
	"testing"

	"selvage/calendar"
	"selvage/internal/holiday"
)

// published are the days off as their authorities print them. Only days on which one
// would otherwise work are compared: those on a Saturday or Sunday make no difference.
var published = []struct {
	region holiday.Region
	year   int
	source string
	days   string
}{
	{
		"US", 2026, "U.S. Office of Personnel Management, Federal Holidays 2026 (4 July, a Saturday, is kept on 3 July)",
		"01-01 01-19 02-16 05-25 06-19 07-03 09-07 10-12 11-11 11-26 12-25",
	},
	{
		"US", 2027, "U.S. Office of Personnel Management, Federal Holidays 2027 (New Year's Day 2028 is kept on 31 December)",
		"01-01 01-18 02-15 05-31 06-18 07-05 09-06 10-11 11-11 11-25 12-24 12-31",
	},
	{
		"GB", 2026, "gov.uk, Bank holidays in England and Wales, 2026 (Boxing Day, a Saturday, has a substitute)",
		"01-01 04-03 04-06 05-04 05-25 08-31 12-25 12-28",
	},
	{
		"GB", 2027, "gov.uk, Bank holidays in England and Wales, 2027 (Christmas on a weekend, two substitutes)",
		"01-01 03-26 03-29 05-03 05-31 08-30 12-27 12-28",
	},
	{
		"DE", 2026, "Feiertagsgesetze der Länder, the nine days that all of them have; Bundesministerium des Innern, Feiertage 2026",
		"01-01 04-03 04-06 05-01 05-14 05-25 12-25",
	},
	{
		"DE-BY", 2026, "Bayerisches Feiertagsgesetz, Art. 1, for 2026 (15 August, 3 October and 1 November fall on weekends)",
		"01-01 01-06 04-03 04-06 05-01 05-14 05-25 06-04 12-25",
	},
	{
		"DE-NW", 2027, "Feiertagsgesetz NW, § 2, for 2027",
		"01-01 03-26 03-29 05-06 05-17 05-27 11-01",
	},
	{
		"AT", 2026, "Arbeitsruhegesetz § 7 for 2026",
		"01-01 01-06 04-06 05-01 05-14 05-25 06-04 10-26 12-08 12-25",
	},
	{
		"FR", 2026, "Code du travail, art. L3133-1, for 2026",
		"01-01 04-06 05-01 05-08 05-14 05-25 07-14 11-11 12-25",
	},
	{
		"IE", 2026, "Organisation of Working Time Act 1997, as on citizensinformation.ie, for 2026",
		"01-01 02-02 03-17 04-06 05-04 06-01 08-03 10-26 12-25",
	},
}

func TestAgainstPublishedTables(t *testing.T) {
	for _, p := range published {
		days, err := holiday.Days(p.region, p.year, p.year)
		if err != nil {
			t.Fatal(err)
		}
		var got []string
		for _, d := range days {
			text := d.Date.String()[5:]
			if w := d.Date.Weekday(); w == calendar.Saturday || w == calendar.Sunday || (len(got) > 0 && got[len(got)-1] == text) {
				continue
			}
			got = append(got, text)
		}
		if all := strings.Join(got, " "); all != p.days {
			t.Errorf("%s %d:\n got %s\nwant %s (%s)", p.region, p.year, all, p.days, p.source)
		}
	}
}

func TestWeekKnowsHolidaysAndClosedDays(t *testing.T) {
	trip := date(t, "2026-08-05")
	w, err := holiday.Week("US", 2026, 2026, trip)
	if err != nil {
		t.Fatal(err)
	}
	for text, works := range map[string]bool{
		"2026-07-02": true, "2026-07-03": false, "2026-07-04": false, "2026-07-06": true, "2026-08-05": false, "2026-08-06": true,
	} {
		if got := w.Works(date(t, text)); got != works {
			t.Errorf("%s: works %v, want %v", text, got, works)
		}
	}
}

func TestEveryRegionHasDays(t *testing.T) {
	for _, r := range holiday.Regions() {
		days, err := holiday.Days(r, 2026, 2026)
		if err != nil || len(days) < 6 {
			t.Errorf("%s: %d days, %v", r, len(days), err)
		}
		for i, d := range days {
			if i > 0 && d.Date < days[i-1].Date {
				t.Errorf("%s: %s stands after %s", r, d.Date, days[i-1].Date)
			}
		}
	}
	if _, err := holiday.Days("AQ", 2026, 2026); err == nil {
		t.Error("a region without a table gives no error")
	}
}

func date(t *testing.T, s string) calendar.Date {
	t.Helper()
	d, err := calendar.Parse(s)
	if err != nil {
		t.Fatal(err)
	}
	return d
}
