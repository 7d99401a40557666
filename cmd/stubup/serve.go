package main

import (
	"context"
	"crypto/rand"
	"errors"
	"fmt"
	"log/slog"
	"net"
	"net/http"
	"os"
	"os/signal"
	"path/filepath"
	"runtime"
	"strings"
	"syscall"
	"time"

	"github.com/oklog/ulid/v2"

	"stubup/examples"
	"stubup/internal/app"
	"stubup/internal/httpapi"
	"stubup/internal/store"
	"stubup/internal/store/sqlite"
	"stubup/web"
)

type serveCmd struct {
	Addr  string `default:"127.0.0.1:8080" env:"STUBUP_ADDR" placeholder:"HOST:PORT" help:"Where to listen: an address of this computer only (STUBUP_ADDR; default ${default})."`
	Data  string `default:"./stubup-data" env:"STUBUP_DATA" placeholder:"DIR" help:"The folder of the store (STUBUP_DATA; default ${default})."`
	DB    string `name:"db" env:"STUBUP_DB" placeholder:"URL" help:"A database for teams (STUBUP_DB); not in this version."`
	Blobs string `env:"STUBUP_BLOBS" placeholder:"URL" help:"Where photos are kept (STUBUP_BLOBS); not in this version."`
}

func (serveCmd) Help() string {
	return "Example: stubup serve --addr 127.0.0.1:8080 --data ./stubup-data\nCtrl-C ends it."
}

// drain is how long requests may take to end after the program was told to.
const drain = 10 * time.Second

func (c *serveCmd) Run(w *world) error {
	for flag, v := range map[string]string{"--db": c.DB, "--blobs": c.Blobs} {
		if v != "" {
			return &exitError{exitWrong, flag + " is not in this version\n  mend: leave it out; the store is one file in the folder of --data"}
		}
	}
	ctx, stop := signal.NotifyContext(w.ctx, os.Interrupt, syscall.SIGTERM)
	defer stop()
	defer context.AfterFunc(ctx, stop)() // a second Ctrl-C ends the program at once
	private()

	l, err := httpapi.Listen(c.Addr)
	if err != nil {
		return listenError(c.Addr, err)
	}
	defer l.Close()
	st, err := sqlite.Open(ctx, sqlite.Options{Dir: c.Data, Now: w.now})
	if err != nil {
		return storeError(err)
	}
	err = c.serve(ctx, w, l, st)
	if cerr := st.Close(); err == nil && cerr != nil {
		err = storeError(cerr)
	}
	return err
}

func (c *serveCmd) serve(ctx context.Context, w *world, l net.Listener, st store.Store) error {
	a := app.New(st, w.now, func() string { return ulid.Make().String() }, runtime.NumCPU(), 32)
	if err := a.WithExample(ctx, examples.CompoundA); err != nil {
		return storeError(err)
	}
	log := slog.New(slog.NewTextHandler(w.err, nil))
	token, address, who := "", "http://"+l.Addr().String()+"/", "only programs of your user on this computer can reach it"
	if !httpapi.PeerReadable() {
		// Behind the mark, so that it stays out of requests and logs.
		token = rand.Text()
		address += "#t=" + token
		who = "the whole address below opens it, for whoever has it on this computer"
	}
	h, err := httpapi.Handler(httpapi.Config{App: a, Pages: web.Dist(), Hosts: httpapi.Hosts(l.Addr()), Token: token, Log: log})
	if err != nil {
		return err
	}
	srv := httpapi.NewServer(h, log)
	ended := make(chan error, 1)
	go func() { ended <- srv.Serve(l) }()
	dir, err := filepath.Abs(c.Data)
	if err != nil {
		dir = c.Data
	}
	fmt.Fprintf(w.out, "data in %s; %s; Ctrl-C ends it\n%s\n", dir, who, address)
	select {
	case err := <-ended:
		return &exitError{exitWorld, fmt.Sprintf("the server ended: %v", err)}
	case <-ctx.Done():
	}
	last, cancel := context.WithTimeout(context.WithoutCancel(ctx), drain)
	defer cancel()
	if err := srv.Shutdown(last); err != nil {
		srv.Close()
		fmt.Fprintln(w.err, "stubup: requests that had not ended were cut off; what was answered is kept")
	}
	if err := <-ended; !errors.Is(err, http.ErrServerClosed) {
		return &exitError{exitWorld, fmt.Sprintf("the server ended: %v", err)}
	}
	fmt.Fprintln(w.err, "stopped; everything that was answered is kept")
	return nil
}

func listenError(addr string, err error) error {
	var used *httpapi.InUse
	switch {
	case errors.Is(err, httpapi.ErrNotLoopback):
		return &exitError{exitWrong, fmt.Sprintf("--addr %s: %v\n  mend: use an address of this computer only, like 127.0.0.1:8080", addr, err)}
	case errors.As(err, &used):
		return &exitError{exitWorld, used.Error() + "\n  mend: use the one that runs, stop it, or give another port: --addr 127.0.0.1:0 takes any free one"}
	case errors.Is(err, os.ErrPermission):
		return &exitError{exitWorld, fmt.Sprintf("--addr %s: %v\n  mend: give a port over 1023", addr, err)}
	}
	var op *net.OpError
	if errors.As(err, &op) {
		return &exitError{exitWorld, fmt.Sprintf("--addr %s: %v\n  mend: use an address of this computer, like 127.0.0.1:8080", addr, err)}
	}
	return &exitError{exitWrong, fmt.Sprintf("--addr: %v\n  mend: write it like 127.0.0.1:8080", err)}
}

// storeError says a failure of the store: wrong arguments are 2, the world 3.
func storeError(err error) error {
	msg := err.Error()
	if mend := store.Mend(err); mend != "" {
		msg += "\n  mend: " + mend
	}
	if store.KindOf(err) == store.Wrong {
		return &exitError{exitWrong, msg}
	}
	return &exitError{exitWorld, msg}
}

type backupCmd struct {
	File      string `arg:"" optional:"" placeholder:"FILE" help:"The new file; one that is there is never written over."`
	Data      string `default:"./stubup-data" env:"STUBUP_DATA" placeholder:"DIR" help:"The folder of the store (STUBUP_DATA; default ${default})."`
	Documents string `placeholder:"DIR" help:"Instead, write every site's newest document that reads into DIR; works on a damaged store too."`
}

func (backupCmd) Help() string {
	return "Example: stubup backup sites-2026-03-01.db\nIt may run while the server does. The copy is read whole before it gets its name."
}

func (c *backupCmd) Run(w *world) error {
	defer w.progress("copying and reading back")()
	private()
	switch {
	case c.Documents != "":
		return c.documents(w)
	case c.File == "":
		return &exitError{exitWrong, "where to?\n  mend: name a new file: stubup backup sites.db"}
	}
	rep, err := sqlite.Backup(w.ctx, c.Data, c.File)
	if err != nil {
		return storeError(err)
	}
	fmt.Fprintf(w.out, "wrote %s: %s; read back whole\n", c.File, rep)
	return nil
}

// documents takes out what still reads.
func (c *backupCmd) documents(w *world) error {
	out, err := openFolder(c.Documents)
	if err != nil {
		return err
	}
	lost, err := sqlite.Salvage(w.ctx, c.Data, func(d sqlite.Saved) error {
		name := strings.TrimSuffix(app.FileName(d.Name), ".yaml") + "-" + strings.ToLower(d.Site) + ".yaml"
		if _, err := os.Lstat(filepath.Join(c.Documents, name)); err == nil {
			return &exitError{exitWrong, name + " is there already, and nothing is written over\n  mend: name a new folder"}
		}
		if err := out.write(name, writeAll(d.Text)); err != nil {
			return err
		}
		note := ""
		if !d.Newest {
			note = ", not the newest revision: that one does not read"
		}
		fmt.Fprintf(w.out, "wrote %s: revision %s%s\n", name, d.Revision[:12], note)
		return nil
	})
	for _, l := range lost {
		fmt.Fprintln(w.err, "stubup: "+l)
	}
	if err != nil {
		var ee *exitError
		if errors.As(err, &ee) {
			return ee
		}
		return storeError(err)
	}
	if len(lost) > 0 {
		return &exitError{code: exitWorld}
	}
	return nil
}

type restoreCmd struct {
	File string `arg:"" placeholder:"FILE" help:"A file that \"stubup backup\" wrote."`
	Data string `default:"./stubup-data" env:"STUBUP_DATA" placeholder:"DIR" help:"A folder that is empty or not there yet (STUBUP_DATA; default ${default})."`
}

func (restoreCmd) Help() string {
	return "Example: stubup restore sites-2026-03-01.db --data ./restored\nNothing is ever written over: the folder must be empty."
}

func (c *restoreCmd) Run(w *world) error {
	defer w.progress("reading and copying")()
	private()
	rep, err := sqlite.Restore(w.ctx, c.File, c.Data)
	if err != nil {
		return storeError(err)
	}
	fmt.Fprintf(w.out, "restored into %s: %s; read back whole\nnext: stubup serve --data %s\n", c.Data, rep, c.Data)
	return nil
}

type openapiCmd struct{}

func (openapiCmd) Help() string { return "Example: stubup openapi" }

func (openapiCmd) Run(w *world) error {
	b, err := httpapi.OpenAPI()
	if err != nil {
		return err
	}
	_, err = w.out.Write(append(b, '\n'))
	return err
}
