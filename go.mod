module selvage

go 1.26
