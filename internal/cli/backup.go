package cli

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"

	"selvage/internal/home"
	"selvage/internal/store"
	"selvage/internal/store/backup"
	"selvage/internal/store/folder"
	"selvage/internal/work"
)

// backupVerb copies the cases into a folder.
type backupVerb struct {
	home.Place
	To  string `required:"" help:"Folder for the back-up: an empty one, or one that holds the back-up from before." predictor:"file"`
	All bool   `help:"Also read again, and prove, what was copied before."`
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
func (v backupVerb) Run(ctx context.Context, env Env) (err error) {
	data, keyFile, err := v.Places()
	if err != nil {
		return err
	}
	r, err := v.View(ctx)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, r.Close()) }()
	d, err := backup.Make(ctx, v.Source(r, data, work.Named), v.To, v.All)
	if err != nil {
		return problem(err)
	}
	fmt.Fprintf(env.Stdout, "Backed up to %s: %d events, %d files. %d files (%s) were copied; %d were read again and are sound.\n",
		v.To, d.Events, len(d.Blobs), d.Copied, bytesText(d.Bytes), d.Proved)
	v.note(ctx, env, r, data, d)
	if len(d.Missing) > 0 {
		return &inputError{
			File: data, What: fmt.Sprintf("%d stored files could not be backed up: %s", len(d.Missing), &backup.DamagedError{Missing: d.Missing}),
			Try: "look into an older back-up, and have the disk looked at; all else is backed up",
		}
	}
	fmt.Fprintf(env.Stdout, "The key is not in it: keep a copy of %s in another place (selvage backup-key).\n", keyFile)
	return nil
}

// note notes the back-up in the ledger, for the page of settings. Where it cannot be, the
// back-up is none the worse.
func (v backupVerb) note(ctx context.Context, env Env, r *home.Rooms, data string, d backup.Done) {
	to, err := filepath.Abs(v.To)
	if err != nil {
		to = v.To
	}
	done := work.Backup{To: to, Events: d.Events, Files: len(d.Blobs), Missing: len(d.Missing)}
	if err := v.Note(ctx, r, data, func(l *store.Ledger) error { return work.NoteBackup(ctx, l, done) }); err != nil {
		fmt.Fprintln(env.Stderr, "selvage: the page does not learn of this back-up: "+oneLine(err.Error()))
	}
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
	_, keyFile, err := home.Place{Keys: v.Keys}.Places()
	if err != nil {
		return err
	}
	key, err := home.LoadKey(keyFile)
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
	From string `arg:"" help:"Folder with the back-up." predictor:"file"`
	home.Place
	Damaged bool `help:"Where some files are damaged, restore all others."`
}

// Help is shown below the flags.
func (restoreVerb) Help() string {
	return `
Makes a data folder of a back-up and proves everything in it: that no event was altered,
removed or put in, and that every file is what was stored. What is damaged is named.

    selvage restore E:\selvage-backup --data D:\selvage --keys D:\keys\selvage.key
    selvage serve --data D:\selvage --keys D:\keys\selvage.key

With --ledger and --blobs, as selvage serve has them, it goes into that database, which
must be empty, and that store; --data is then a folder with room for the while.`
}

// Run restores.
func (v restoreVerb) Run(ctx context.Context, env Env) error {
	if v.Data == "" {
		return &inputError{What: "where to is missing", Try: "--data with a new folder"}
	}
	data, keyFile, err := v.Places()
	if err != nil {
		return err
	}
	key, err := home.LoadKey(keyFile)
	if err != nil {
		return err
	}
	d, err := backup.Restore(ctx, v.From, backup.Target{
		Dir: data, Database: home.DatabaseName, Blobs: home.BlobsName, Key: key, Named: work.Named, Damaged: v.Damaged,
	})
	if err != nil {
		return problem(err)
	}
	if err := v.MoveOut(ctx, data, key, d.Blobs); err != nil {
		return err
	}
	fmt.Fprintf(env.Stdout, "Restored to %s: %d events, %d files (%s), as of %s. All of it was proved.\n",
		data, d.Events, len(d.Blobs), bytesText(d.Bytes), d.Made.Local().Format("2006-01-02 15:04"))
	for _, m := range d.Missing {
		fmt.Fprintf(env.Stdout, "Not restored: %s (%s).\n", m.What, m.Why)
	}
	return nil
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
