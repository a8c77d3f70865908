package people_test

import (
	"maps"
	"testing"

	"selvage/internal/people"
)

// TestKeys lays keys elsewhere: a key does one thing, those needed for moving about stay,
// and what is laid is the person's own.
func TestKeys(t *testing.T) {
	p := open(t)
	anna, _, err := p.First(ctx, "Anna", roles(people.Dentist, people.Manager), "482703")
	must(t, err)
	ben, err := p.Add(ctx, anna.ID, "Ben", roles(people.Assistant), "905116")
	must(t, err)
	laid := map[string]string{"F8": "F13", "F4": "F14", "F9": "b", "d": ""}
	must(t, p.SetKeys(ctx, ben.ID, laid))
	for id, want := range map[string]map[string]string{ben.ID: laid, anna.ID: nil} {
		got, ok, err := p.Find(ctx, id)
		if err != nil || !ok || !maps.Equal(got.Keys, want) {
			t.Errorf("keys of %s: %v (%v), want %v", id, got.Keys, err, want)
		}
	}
	must(t, p.SetKeys(ctx, ben.ID, map[string]string{"F8": "F8"}))
	if got, _, _ := p.Find(ctx, ben.ID); len(got.Keys) != 0 {
		t.Errorf("after all keys went back: %v", got.Keys)
	}
	for key, bad := range map[string]map[string]string{
		"keys.twice": {"F8": "d"}, "keys.name": {"F8": "Tab"},
	} {
		refused(t, p.SetKeys(ctx, ben.ID, bad), key)
	}
	refused(t, p.SetKeys(ctx, ben.ID, map[string]string{"F8": "\x00"}), "keys.name")
	refused(t, p.SetKeys(ctx, "nobody", nil), "nobody")
}
