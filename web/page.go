package web

import "html/template"

var plainPage = template.Must(template.New("page").Parse(`<!doctype html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width">
<title>evenlock</title>
</head>
<body>
<main>
<h1>evenlock</h1>
<p>{{.Message}}</p>
{{with .Remedy}}<p>{{.}}</p>
{{end}}{{with .Action}}<form method="post" action="{{.}}"><button>Open on this device</button></form>
{{end}}</main>
</body>
</html>
`))
