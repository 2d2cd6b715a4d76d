"""Chapter: the image train. Do the parts mate, is focus reached, does anything cut the light?"""
