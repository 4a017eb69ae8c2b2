// Package web serves the page and keeps rigs for it.
//
//	server, err := web.New(web.Options{Store: s, Assets: web.Assets(), RigName: name})
//	err = server.Serve(ctx, "127.0.0.1:0", func(url string) { fmt.Println("Open", url) })
//
// # Who gets in
//
// Serve listens on loopback only. On request, by [Server.Invite] or from the page,
// it also listens on the local network; there, a device gets in only with a code
// of 130 random bits, shown on the computer as a QR. The code works once and for
// [InviteLife], and is exchanged for a cookie that holds until sharing stops, for at
// most [SessionLife]. Every other device gets 403 and a page that says how to get in.
//
// The connection on the local network is not encrypted: a browser would trust no
// certificate that this program can make. Who can read the network's traffic can
// read along, and take over a device's session. Share on a network that you trust.
//
// On every connection: a Host header other than the address that was connected to
// is refused (so no outside name can be bound to this address), and so are requests
// to the API that a browser makes for another site. The content security policy
// allows the page nothing from outside.
//
// # JSON API
//
// Requests with a body are application/json in UTF-8 except where stated; unknown
// keys are refused. Times are RFC 3339 in UTC. Shapes are those of package
// [evenlock/store]: Rig, Revision (text is left out of lists), Entry, Change,
// MergeReport.
//
//	GET    /api/rigs                               {"rigs": [Rig]}, deleted ones too
//	POST   /api/rigs                               Draft → 201 Revision
//	GET    /api/rigs/{rig}                         {"rig": Rig, "revision": Revision}, the current one
//	DELETE /api/rigs/{rig}                         204; puts it aside
//	POST   /api/rigs/{rig}/undelete                204
//	POST   /api/rigs/{rig}/purge                   204; for good, only if deleted
//	GET    /api/rigs/{rig}/revisions               {"revisions": [Revision]}, newest first
//	POST   /api/rigs/{rig}/revisions               Draft and "parent": n → 201 Revision, or 409
//	GET    /api/rigs/{rig}/revisions/{n}           Revision
//	GET    /api/rigs/{rig}/revisions/{n}/file      the rig file, to keep
//	POST   /api/rigs/{rig}/revisions/{n}/bring-back  {"parent": n, "by": ""} → 201 Revision, or 409
//	GET    /api/rigs/{rig}/journal                 {"entries": [Entry], "ticks": {step: Entry}, "notes": [Entry]}
//	POST   /api/rigs/{rig}/journal                 EntryDraft → 201 Entry
//	POST   /api/import                             application/toml → 201 Revision
//	GET    /api/backup                             application/zip, to keep
//	POST   /api/restore                            application/zip → MergeReport
//	GET    /api/settings                           {"settings": {key: value}}
//	PUT    /api/settings/{key}                     {"value": ""} → 204
//	GET    /api/events                             server-sent events, see below
//
// From the computer itself only:
//
//	GET    /api/share                              Sharing
//	POST   /api/share                              → 201 Sharing with a fresh link; starts sharing if need be
//	DELETE /api/share                              204; stops sharing, shuts all other devices out
//	GET    /api/share/qr.svg                       the QR of the current link, image/svg+xml
//
// A failure is {"error": {"code", "message", "remedy"}} with the status that
// [store.Code.Status] gives; a conflict has "newer": Revision beside it.
//
// Each event of the stream is named "change" and its data is a Change. The first
// is named "ready": from there on nothing is missed, so (re)read what is shown when
// it comes, also after a reconnect. A tab tells its own saves by the revision's
// number. Browsers open at most six connections to one address over HTTP/1.1, and
// a stream takes one for as long as it is open: close it while the tab is hidden.
package web
