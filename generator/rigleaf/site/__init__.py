"""Pages as plain records: address, title, finished HTML, contents, search text and source."""
