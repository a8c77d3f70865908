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
	"time"

	"github.com/alecthomas/kong"

	"selvage/internal/casefile"
	"selvage/internal/home"
	"selvage/internal/schedule"
	"selvage/internal/store/folder"
	"selvage/internal/work"
)

// serveVerb serves the page at the chair.
type serveVerb struct {
	Config kong.ConfigFlag `help:"File with any of these, as TOML: listen = \"127.0.0.1:7330\"."`
	home.Place
	Listen     string   `default:"127.0.0.1:7330" help:"Address of the page. Only this computer can reach the default." env:"SELVAGE_SERVE_LISTEN"`
	Limits     file     `help:"A limit table of your own (selvage limits --toml)." predictor:"file" env:"SELVAGE_SERVE_LIMITS"`
	Times      file     `help:"Your own ways to open the sulcus and their times (start from what --times-table prints)." predictor:"file" env:"SELVAGE_SERVE_TIMES"`
	TimesTable bool     `help:"Print the shipped ways to open the sulcus, to be edited, and stop."`
	Case       []string `help:"Take a case folder in, once. May be given more than once." sep:"none" predictor:"case"`
	Watch      string   `help:"Folder that scans are exported to; what arrives there is checked by itself. Nothing in it is altered. Another that is set on the page counts first." predictor:"file" env:"SELVAGE_SERVE_WATCH"`
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

Several computers can share their cases: what happened in a PostgreSQL database, the scans
in an object store that speaks S3, each started with the same key. Passwords are read from
files or the environment, never from the command line.

    selvage serve --ledger postgres://selvage@db.local/selvage --ledger-login pg.txt
        --blobs s3://store.local:9000/scans --blobs-login s3.txt

Each of these may also stand in a file (--config FILE, as TOML: data = "D:/selvage") or in
the environment (SELVAGE_SERVE_DATA); what is on the command line counts first.

Other programs use http://127.0.0.1:7330/api/v1/, which is described at
http://127.0.0.1:7330/api/openapi.json; the manager makes their tokens on the page.

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
	data, key, err := v.Places()
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
	desk, opened, closeDesk, err := v.desk(ctx)
	if err != nil {
		return errors.Join(err, l.Close())
	}
	defer func() { err = errors.Join(err, closeDesk()) }()
	// WHY from the key: it is not in the data folder.
	secret, err := opened.Derive("people")
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
	fmt.Fprintf(env.Stdout, "The page at the chair: %s\n%s\nStop with Ctrl-C.\n", address, v.kept(data, key))
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

// kept says where everything is.
func (v serveVerb) kept(data, key string) string {
	cases, scans := "Cases are kept in "+data, ""
	if v.Ledger != "" {
		cases = "What happened is kept in " + v.Ledger
	}
	switch {
	case v.Blobs != "":
		scans = ", scans in " + v.Blobs
	case v.Ledger != "":
		scans = ", scans in " + data
	}
	return cases + scans + ", the key of the stored scans in " + key + "."
}

// watch takes what arrives in the watched folder, the one that the page names or else that
// of the command line, until stop is called.
func (v serveVerb) watch(ctx context.Context, env Env, desk *work.Desk, data string) (stop func(), err error) {
	dir := ""
	if v.Watch != "" {
		if dir, err = filepath.Abs(v.Watch); err != nil {
			return nil, err
		}
		if v.Local() && (inside(dir, data) || inside(data, dir)) {
			return nil, &inputError{File: dir, What: "the watched folder and the folder of the cases lie in one another", Try: "--watch with the folder that the scanner exports to"}
		}
	}
	ctx, cancel := context.WithCancel(ctx)
	ended := make(chan struct{})
	if now := desk.ToWatch(dir); now != "" {
		fmt.Fprintf(env.Stdout, "New scans are taken from %s.\n", now)
	}
	go func() {
		defer close(ended)
		err := desk.WatchSet(ctx, dir, func(trouble string) {
			if trouble == "" {
				trouble = "the watched folder " + desk.ToWatch(dir) + " is read again"
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

// desk opens the store and starts checking. closeAll stops it all.
func (v serveVerb) desk(ctx context.Context) (d *work.Desk, key *folder.Key, closeAll func() error, err error) {
	o := work.Options{Workers: 1}
	if v.Local() {
		data, _, err := v.Places()
		if err != nil {
			return nil, nil, nil, err
		}
		o.Own = []string{data}
	}
	if v.Limits != "" {
		if o.Limits, err = readBounded(string(v.Limits), maxTextBytes); err != nil {
			return nil, nil, nil, err
		}
		if _, err := parseLimits(string(v.Limits), o.Limits); err != nil {
			return nil, nil, nil, err
		}
	}
	if v.Times != "" {
		text, err := readBounded(string(v.Times), maxTextBytes)
		if err != nil {
			return nil, nil, nil, err
		}
		if o.Methods, err = schedule.Parse(text); err != nil {
			return nil, nil, nil, &inputError{File: string(v.Times), What: err.Error(), Try: "start from a fresh copy: selvage serve --times-table", Err: err}
		}
	}
	r, err := v.Place.Open(ctx, v.self())
	if err != nil {
		return nil, nil, nil, err
	}
	defer func() {
		if err != nil {
			err = errors.Join(err, r.Close())
		}
	}()
	seed, err := r.Key.Derive("seal")
	if err != nil {
		return nil, nil, nil, err
	}
	o.Seal = ed25519.NewKeyFromSeed(seed)
	o.Ledger, o.Blobs, o.Dialect, o.Alone = r.Ledger, r.Blobs, r.Dialect, r.Alone
	if d, err = work.Open(ctx, o); err != nil {
		return nil, nil, nil, err
	}
	if err := d.Start(context.WithoutCancel(ctx)); err != nil {
		return nil, nil, nil, err
	}
	return d, r.Key, func() error {
		stop, cancel := context.WithTimeout(context.Background(), shutdownPatience)
		defer cancel()
		return errors.Join(d.Stop(stop), r.Close())
	}, nil
}

// self says which program this is, to another that finds the folder in use.
func (v serveVerb) self() string {
	name, err := os.Hostname()
	if err != nil {
		name = "this computer"
	}
	return fmt.Sprintf("the page at %s (process %d on %s)", v.Listen, os.Getpid(), name)
}
