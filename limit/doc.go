// Package limit holds the limits against which measurements are judged: one row
// per limit, with its unit, the side that is bad, two levels, and where the value
// comes from.
//
// A row has a flag level, which acts, and an advise level, which only notes;
// either may be absent. Where a limit differs by material, cement, zone of the
// tooth or class of tooth, there is one row for each, and the most specific row
// that fits is used ([Table.Find]). The shipped table is [Default], read from
// limits.toml in this package; a practice's own copy goes through [Parse], which
// keeps the default for every row that the copy leaves out, so an old copy stays
// usable, and [Table.Edited] lists what differs.
//
// Values are in the unit of their row (mm, mm2, deg, um, MPa, days, or 1 for ratios and
// counts). Nothing here knows of uncertainty: see package finding.
package limit
