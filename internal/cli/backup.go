package cli

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"time"

	"selvage/internal/store/backup"
	"selvage/internal/store/folder"
	"selvage/internal/work"
)

// The names in the data folder.
const (
	databaseName = "selvage.db"
	blobsName    = "blobs"
)

// backupVerb copies the cases into a folder.
type backupVerb struct {
	Data string `help:"Folder with the cases, as given to selvage serve." predictor:"file"`
	Keys string `help:"File with the key of the stored scans; it is used to prove them, and not copied." predictor:"file"`
	To   string `required:"" help:"Folder for the back-up: an empty one, or one that holds the back-up from before." predictor:"file"`
	All  bool   `help:"Also read again, and prove, what was copied before."`
}

// Help is shown below the flags.
func (backupVerb) Help() string {
	return `
Copies the cases, also while selvage serve is running, and reads the copies again. Run it
again on the same folder, and only what is new is copied.

    selvage backup --to E:\selvage-backup
    selvage backup --to E:\selvage-backup --all

The key of the stored scans is not in the back-up: without it the back-up cannot be read,
by whoever finds it and by you. Copy the key once, to another place:

    selvage backup-key --to F:\selvage.key

Restore with: selvage restore E:\selvage-backup --data NEWFOLDER --keys F:\selvage.key`
}

// Run makes the back-up.
func (v backupVerb) Run(ctx context.Context, env Env) error {
	data, keyFile, err := serveVerb{Data: v.Data, Keys: v.Keys}.places()
	if err != nil {
		return err
	}
	key, err := loadKey(keyFile)
	if err != nil {
		return err
	}
	d, err := backup.Make(ctx, backup.Source{
		Database: filepath.Join(data, databaseName), Blobs: filepath.Join(data, blobsName),
		Key: key, Named: work.Named, Now: time.Now,
	}, v.To, v.All)
	if err != nil {
		return problem(err)
	}
	fmt.Fprintf(env.Stdout, "Backed up to %s: %d events, %d files. %d files (%s) were copied; %d were read again and are sound.\n",
		v.To, d.Events, len(d.Blobs), d.Copied, bytesText(d.Bytes), d.Proved)
	if len(d.Missing) > 0 {
		return &inputError{
			File: data, What: fmt.Sprintf("%d stored files could not be backed up: %s", len(d.Missing), &backup.DamagedError{Missing: d.Missing}),
			Try: "look into an older back-up, and have the disk looked at; all else is backed up",
		}
	}
	fmt.Fprintf(env.Stdout, "The key is not in it: keep a copy of %s in another place (selvage backup-key).\n", keyFile)
	return nil
}

// backupKeyVerb copies the key.
type backupKeyVerb struct {
	Keys string `help:"File with the key of the stored scans, as given to selvage serve." predictor:"file"`
	To   string `required:"" help:"File to copy the key to; not where the back-up is." predictor:"file"`
}

// Help is shown below the flags.
func (backupKeyVerb) Help() string {
	return `
Copies the key of the stored scans, and reads the copy again. Whoever has the key and the
data, or the key and a back-up, can read every scan; whoever has no copy of the key and
loses it can read none. Keep the copy locked away from both.

    selvage backup-key --to F:\selvage.key`
}

// Run copies the key.
func (v backupKeyVerb) Run(env Env) error {
	_, keyFile, err := serveVerb{Keys: v.Keys}.places()
	if err != nil {
		return err
	}
	key, err := loadKey(keyFile)
	if err != nil {
		return err
	}
	to := v.To
	if info, err := os.Stat(to); err == nil && info.IsDir() {
		to = filepath.Join(to, filepath.Base(keyFile))
	}
	if _, err := os.Stat(filepath.Join(filepath.Dir(to), backup.ListName)); err == nil {
		return &inputError{File: to, What: "the key would lie in the back-up, where whoever takes that takes it too", Try: "another place"}
	}
	if was, err := folder.LoadKey(to, false); err == nil && was.ID() != key.ID() {
		return &inputError{File: to, What: "another key is there, and nothing is written over", Try: "another name"}
	}
	if err := key.Save(to); err != nil {
		return &inputError{File: to, What: "the key cannot be written: " + err.Error(), Try: "a folder that can be written and has room", Err: err}
	}
	if was, err := folder.LoadKey(to, false); err != nil || was.ID() != key.ID() {
		return fmt.Errorf("%s: the copy of the key does not read back (%w)", to, err)
	}
	fmt.Fprintf(env.Stdout, "The key (its id is %s) is copied to %s.\n", key.ID(), to)
	return nil
}

// restoreVerb makes an installation of a back-up.
type restoreVerb struct {
	From    string `arg:"" help:"Folder with the back-up." predictor:"file"`
	Data    string `required:"" help:"Folder for the cases: a new or an empty one." predictor:"file"`
	Keys    string `help:"File with the key of the stored scans, put back from its own back-up." predictor:"file"`
	Damaged bool   `help:"Where some files are damaged, restore all others."`
}

// Help is shown below the flags.
func (restoreVerb) Help() string {
	return `
Makes a data folder of a back-up and proves everything in it: that no event was altered,
removed or put in, and that every file is what was stored. What is damaged is named.

    selvage restore E:\selvage-backup --data D:\selvage --keys D:\keys\selvage.key
    selvage serve --data D:\selvage --keys D:\keys\selvage.key`
}

// Run restores.
func (v restoreVerb) Run(ctx context.Context, env Env) error {
	data, keyFile, err := serveVerb{Data: v.Data, Keys: v.Keys}.places()
	if err != nil {
		return err
	}
	key, err := loadKey(keyFile)
	if err != nil {
		return err
	}
	d, err := backup.Restore(ctx, v.From, backup.Target{
		Dir: data, Database: databaseName, Blobs: blobsName, Key: key, Named: work.Named, Damaged: v.Damaged,
	})
	if err != nil {
		return problem(err)
	}
	fmt.Fprintf(env.Stdout, "Restored to %s: %d events, %d files (%s), as of %s. All of it was proved.\n",
		data, d.Events, len(d.Blobs), bytesText(d.Bytes), d.Made.Local().Format("2006-01-02 15:04"))
	for _, m := range d.Missing {
		fmt.Fprintf(env.Stdout, "Not restored: %s (%s).\n", m.What, m.Why)
	}
	return nil
}

// loadKey reads a key that must be there.
func loadKey(path string) (*folder.Key, error) {
	key, err := folder.LoadKey(path, false)
	if err != nil {
		return nil, &inputError{What: err.Error(), Err: err}
	}
	return key, nil
}

// problem turns what package backup says into an input error.
func problem(err error) error {
	var p *backup.Problem
	var perm *fs.PathError
	switch {
	case errors.As(err, &p):
		return &inputError{File: p.Where, What: p.What, Try: p.Try, Err: err}
	case errors.As(err, &perm) && errors.Is(err, fs.ErrPermission):
		return &inputError{File: perm.Path, What: "it cannot be read: " + perm.Err.Error(), Try: "the user that selvage serve runs as", Err: err}
	}
	return err
}
