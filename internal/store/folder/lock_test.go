package folder_test

import (
	"errors"
	"testing"

	"selvage/internal/store/folder"
)

func TestLock(t *testing.T) {
	dir := t.TempDir()
	unlock, err := folder.Lock(dir, "the page at 127.0.0.1:7330")
	if err != nil {
		t.Fatal(err)
	}
	var held *folder.HeldError
	for range 2 {
		if _, err := folder.Lock(dir, "another"); !errors.As(err, &held) || held.By != "the page at 127.0.0.1:7330" {
			t.Fatalf("a second lock: %v", err)
		}
	}
	if err := unlock(); err != nil {
		t.Fatal(err)
	}
	again, err := folder.Lock(dir, "another")
	if err != nil {
		t.Fatal(err)
	}
	if err := again(); err != nil {
		t.Fatal(err)
	}
	if _, err := folder.Lock(dir+"/nowhere", ""); err == nil || errors.As(err, &held) {
		t.Errorf("a folder that is not there: %v", err)
	}
}
