"""Tables of times: frames, guiding and actions, in delimited text with named columns or in headers of FITS files."""
