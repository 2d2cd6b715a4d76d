"""Pictures and tags from which a chat makes a preview of a link."""
