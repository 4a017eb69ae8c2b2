module evenlock

go 1.26.8
