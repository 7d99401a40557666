package httpapi

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"net"
	"net/http"
	"net/netip"
	"strconv"
	"sync"
	"syscall"
)

// ErrNotLoopback says that an address would let other computers in.
var ErrNotLoopback = errors.New("other computers could reach this address, and there is no sign-in yet")

// InUse says that somebody listens on an address already.
type InUse struct {
	Addr string
	Who  string // as well as can be told
}

func (e *InUse) Error() string { return fmt.Sprintf("%s is taken by %s", e.Addr, e.Who) }

// Listen listens on a loopback address, "127.0.0.1:8080" or "localhost:8080".
// The name localhost is not looked up anywhere.
func Listen(addr string) (net.Listener, error) {
	host, port, err := net.SplitHostPort(addr)
	if err != nil {
		return nil, fmt.Errorf("%q is no address: %w", addr, err)
	}
	if host == "localhost" {
		host = "127.0.0.1"
	}
	ip, err := netip.ParseAddr(host)
	if err != nil || !ip.Unmap().IsLoopback() {
		return nil, ErrNotLoopback
	}
	n, err := strconv.ParseUint(port, 10, 16)
	if err != nil {
		return nil, fmt.Errorf("%q is no port", port)
	}
	at := netip.AddrPortFrom(ip.Unmap(), uint16(n))
	l, err := net.Listen("tcp", at.String())
	switch {
	case errors.Is(err, syscall.EADDRINUSE):
		return nil, &InUse{Addr: at.String(), Who: listener(at)}
	case err != nil:
		return nil, err
	}
	return &limited{Listener: l, room: make(chan struct{}, maxConns)}, nil
}

// limited takes so many connections at once.
type limited struct {
	net.Listener
	room chan struct{}
}

func (l *limited) Accept() (net.Conn, error) {
	l.room <- struct{}{}
	c, err := l.Listener.Accept()
	if err != nil {
		<-l.room
		return nil, err
	}
	return &conn{Conn: c, leave: sync.OnceFunc(func() { <-l.room })}, nil
}

// conn is a connection whose other end is looked up once, at its first
// request.
type conn struct {
	net.Conn
	leave func()
	once  sync.Once
	peer  Peer
}

func (c *conn) Close() error {
	defer c.leave()
	return c.Conn.Close()
}

// Peer says who is at the other end of a connection.
type Peer int

// Peers.
const (
	Unknown Peer = iota // cannot be told here
	Ours                // a program of the user whose server this is
	Other               // somebody else's
)

type peerKey struct{}

func peerOf(ctx context.Context) Peer {
	c, ok := ctx.Value(peerKey{}).(*conn)
	if !ok {
		return Unknown
	}
	c.once.Do(func() { c.peer = lookPeer(c.RemoteAddr(), c.LocalAddr()) })
	return c.peer
}

// NewServer returns a server for a handler, with the limits of this package.
func NewServer(h http.Handler, log *slog.Logger) *http.Server {
	return &http.Server{
		Handler: h, ReadHeaderTimeout: headerTime, IdleTimeout: idleTime, MaxHeaderBytes: maxHeader,
		ErrorLog: slog.NewLogLogger(log.Handler(), slog.LevelDebug),
		ConnContext: func(ctx context.Context, c net.Conn) context.Context {
			return context.WithValue(ctx, peerKey{}, c)
		},
	}
}
