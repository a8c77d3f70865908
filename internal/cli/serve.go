package cli

import (
	"bytes"
	"context"
	"crypto/ed25519"
	"crypto/tls"
	"errors"
	"fmt"
	"net"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strings"
	"time"

	"selvage/internal/casefile"
	"selvage/internal/job"
	"selvage/internal/schedule"
	"selvage/internal/store"
	"selvage/internal/store/folder"
	"selvage/internal/store/sqlite"
	"selvage/internal/work"
)

// serveVerb serves the page at the chair.
type serveVerb struct {
	Data       string   `help:"Folder for the cases; made if it is not there. Left out: the folder that the system keeps for programs' data." predictor:"file"`
	Keys       string   `help:"File with the key of the stored scans; keep it, and its back-up, apart from the data." predictor:"file"`
	Listen     string   `default:"127.0.0.1:7330" help:"Address of the page. Only this computer can reach the default."`
	Limits     file     `help:"A limit table of your own (selvage limits --toml)." predictor:"file"`
	Times      file     `help:"Your own ways to open the sulcus and their times (start from what --times-table prints)." predictor:"file"`
	TimesTable bool     `help:"Print the shipped ways to open the sulcus, to be edited, and stop."`
	Case       []string `help:"Take a case folder in, once. May be given more than once." sep:"none" predictor:"case"`
	Watch      string   `help:"Folder that scans are exported to; what arrives there is checked by itself. Nothing in it is altered." predictor:"file"`
	Open       bool     `help:"Open the page in this computer's browser."`
	transport
}

// Help is shown below the flags.
func (serveVerb) Help() string {
	return `
Serves the page at the chair and checks in the background.

    selvage serve
    selvage serve --data D:\selvage --keys E:\selvage.key

Open the address that it prints in a browser on this computer. Everything is kept in
the data folder: what happened in one file, the scans beside it, sealed with the key.
Without the key the stored scans cannot be read: back it up apart from the data.

Other computers reach the page only encrypted, and only with a name and a password:

    selvage serve --listen 0.0.0.0:7331 --self-signed
    selvage serve --listen 0.0.0.0:7331 --cert page.crt --key page.key

Where the program made the certificate itself, a browser warns: compare the fingerprint
that it shows with the one that is printed. People are made on the page, the first one at
this computer.

With --watch, scans that arrive in a folder, or in folders below it, are taken as they
come, and each export finds its case or opens one. The folder may be a share of another
computer, and may come and go. It is only read.

    selvage serve --watch "Z:\exported scans"

Stop it with Ctrl-C; it may also be killed at any moment, and goes on where it was.`
}

// shutdownPatience is how long running checks may take to stop.
const shutdownPatience = 5 * time.Second

// Run serves until ctx ends.
func (v serveVerb) Run(ctx context.Context, env Env) (err error) {
	if v.TimesTable {
		_, err := env.Stdout.Write(schedule.Shipped())
		return err
	}
	data, key, err := v.places()
	if err != nil {
		return err
	}
	conf, fingerprint, err := v.config(v.Listen, key)
	if err != nil {
		return err
	}
	// WHY before the cases are opened: a second program at this address must not touch
	// what the first one is working on.
	l, err := net.Listen("tcp", v.Listen)
	if err != nil {
		return &inputError{What: "the page cannot be served at " + v.Listen + ": " + err.Error(), Try: "look whether Selvage runs already; else --listen 127.0.0.1:7331 with a --data of its own", Err: err}
	}
	desk, closeDesk, err := v.desk(ctx, data, key)
	if err != nil {
		return errors.Join(err, l.Close())
	}
	defer func() { err = errors.Join(err, closeDesk()) }()
	secret, err := peopleSecret(key)
	if err != nil {
		return err
	}
	handler, err := env.Pages(work.Shop{Desk: desk, Version: programVersion(), Secret: secret, Secure: conf != nil})
	if err != nil {
		return err
	}
	for _, dir := range v.Case {
		if err := takeIn(ctx, desk, dir); err != nil {
			return errors.Join(err, l.Close())
		}
	}
	scheme := "http"
	if conf != nil {
		l, scheme = tls.NewListener(l, conf), "https"
		fmt.Fprintf(env.Stdout, "The fingerprint of its certificate (SHA-256): %s\n", fingerprint)
	}
	address := scheme + "://" + shownAddr(l.Addr()) + "/"
	fmt.Fprintf(env.Stdout, "The page at the chair: %s\nCases are kept in %s, the key of the stored scans in %s.\nStop with Ctrl-C.\n", address, data, key)
	stopWatch, err := v.watch(ctx, env, desk, data)
	if err != nil {
		return errors.Join(err, l.Close())
	}
	defer stopWatch()
	if v.Open {
		openBrowser(env, address)
	}
	return listen(ctx, l, handler)
}

// watch takes what arrives in the watched folder, if there is one, until stop is called.
func (v serveVerb) watch(ctx context.Context, env Env, desk *work.Desk, data string) (stop func(), err error) {
	if v.Watch == "" {
		return func() {}, nil
	}
	dir, err := filepath.Abs(v.Watch)
	if err != nil {
		return nil, err
	}
	if inside(dir, data) || inside(data, dir) {
		return nil, &inputError{File: dir, What: "the watched folder and the folder of the cases lie in one another", Try: "--watch with the folder that the scanner exports to"}
	}
	ctx, cancel := context.WithCancel(ctx)
	ended := make(chan struct{})
	fmt.Fprintf(env.Stdout, "New scans are taken from %s.\n", dir)
	go func() {
		defer close(ended)
		err := desk.Watch(ctx, dir, func(trouble string) {
			if trouble == "" {
				trouble = "the watched folder " + dir + " is read again"
			}
			fmt.Fprintln(env.Stderr, "selvage: "+oneLine(trouble))
		})
		if err != nil && ctx.Err() == nil {
			fmt.Fprintln(env.Stderr, "selvage: "+oneLine(err.Error()))
		}
	}()
	return func() {
		cancel()
		select {
		case <-ended:
		case <-time.After(shutdownPatience): // a share that does not answer; it finds the end when it does
		}
	}, nil
}

// takeIn makes a case of a folder with case.json, unless one was made of it before.
func takeIn(ctx context.Context, desk *work.Desk, dir string) error {
	abs, err := filepath.Abs(dir)
	if err != nil {
		return err
	}
	l, err := load([]string{abs}, order{})
	if err != nil {
		return err
	}
	id, err := desk.NewCase(ctx, work.System, l.input.Case.Name, "folder "+abs)
	if err != nil {
		return err
	}
	c, err := desk.Case(ctx, id)
	if err != nil || len(c.Scans) > 0 {
		return err // it was taken in before
	}
	err = desk.SetOrder(ctx, work.System, id, func(c *casefile.Case) error {
		*c = l.input.Case
		return nil
	})
	if err != nil {
		return err
	}
	var files []work.Incoming
	for _, f := range l.input.Files {
		files = append(files, work.Incoming{Name: f.Name, Role: f.Role, Data: bytes.NewReader(f.Data)})
	}
	return desk.AddScans(ctx, work.System, id, files)
}

// openBrowser asks the system to show an address. Where it cannot, the address that was
// printed is enough.
func openBrowser(env Env, address string) {
	name, args := "xdg-open", []string{address}
	switch runtime.GOOS {
	case "windows":
		name, args = "rundll32", []string{"url.dll,FileProtocolHandler", address}
	case "darwin":
		name = "open"
	}
	if err := exec.Command(name, args...).Start(); err != nil {
		fmt.Fprintf(env.Stderr, "selvage: no browser could be opened (%v); open the address above yourself\n", err)
	}
}

// listen serves until ctx ends, then lets requests finish.
func listen(ctx context.Context, l net.Listener, h http.Handler) error {
	server := &http.Server{
		Handler: h, ReadHeaderTimeout: 10 * time.Second, IdleTimeout: 2 * time.Minute,
		BaseContext: func(net.Listener) context.Context { return ctx },
	}
	failed := make(chan error, 1)
	go func() { failed <- server.Serve(l) }()
	select {
	case err := <-failed:
		return err
	case <-ctx.Done():
	}
	stop, cancel := context.WithTimeout(context.WithoutCancel(ctx), shutdownPatience)
	defer cancel()
	if err := server.Shutdown(stop); err != nil && !errors.Is(err, context.DeadlineExceeded) {
		return err
	}
	return nil
}

// places returns where the data and the key are kept.
func (v serveVerb) places() (data, key string, err error) {
	data, key = v.Data, v.Keys
	if data == "" || key == "" {
		home, err := os.UserConfigDir()
		if err != nil {
			return "", "", &inputError{What: "the system names no folder for programs' data: " + err.Error(), Try: "--data FOLDER --keys FILE"}
		}
		if data == "" {
			data = filepath.Join(home, "selvage", "data")
		}
		if key == "" {
			key = filepath.Join(home, "selvage", "keys", "scans.key")
		}
	}
	if rel, err := filepath.Rel(data, key); err == nil && rel != ".." && !strings.HasPrefix(rel, ".."+string(filepath.Separator)) {
		return "", "", &inputError{What: "the key would lie in the data folder, where whoever takes the data takes it too", Try: "--keys with a file elsewhere"}
	}
	return data, key, nil
}

// desk opens the store and starts checking. close stops it all.
func (v serveVerb) desk(ctx context.Context, data, keyFile string) (d *work.Desk, closeAll func() error, err error) {
	if err := os.MkdirAll(data, 0o700); err != nil {
		return nil, nil, &inputError{File: data, What: "the folder cannot be made: " + err.Error(), Try: "--data with a folder that you may write", Err: err}
	}
	db, err := sqlite.Open(ctx, filepath.Join(data, databaseName))
	if err != nil {
		return nil, nil, &inputError{File: data, What: "the cases cannot be opened: " + err.Error(), Try: "look whether the folder can be written and the disk is not full", Err: err}
	}
	defer func() {
		if err != nil {
			err = errors.Join(err, db.Close())
		}
	}()
	ledger := store.New(db, time.Now)
	fresh, err := ledger.Since(ctx, 0, 1)
	if err != nil {
		return nil, nil, err
	}
	key, err := folder.LoadKey(keyFile, len(fresh) == 0)
	if err != nil {
		return nil, nil, &inputError{What: err.Error(), Err: err}
	}
	blobs, err := folder.Open(filepath.Join(data, blobsName), key)
	if err != nil {
		return nil, nil, &inputError{What: err.Error(), Err: err}
	}
	seed, err := key.Derive("seal")
	if err != nil {
		return nil, nil, err
	}
	o := work.Options{Ledger: ledger, Blobs: blobs, Dialect: job.SQLite, Workers: 1, Alone: true, Seal: ed25519.NewKeyFromSeed(seed)}
	if v.Limits != "" {
		if o.Limits, err = readBounded(string(v.Limits), maxTextBytes); err != nil {
			return nil, nil, err
		}
		if _, err := parseLimits(string(v.Limits), o.Limits); err != nil {
			return nil, nil, err
		}
	}
	if v.Times != "" {
		text, err := readBounded(string(v.Times), maxTextBytes)
		if err != nil {
			return nil, nil, err
		}
		if o.Methods, err = schedule.Parse(text); err != nil {
			return nil, nil, &inputError{File: string(v.Times), What: err.Error(), Try: "start from a fresh copy: selvage serve --times-table", Err: err}
		}
	}
	if d, err = work.Open(ctx, o); err != nil {
		return nil, nil, err
	}
	if err := d.Start(context.WithoutCancel(ctx)); err != nil {
		return nil, nil, err
	}
	return d, func() error {
		stop, cancel := context.WithTimeout(context.Background(), shutdownPatience)
		defer cancel()
		return errors.Join(d.Stop(stop), db.Close())
	}, nil
}
