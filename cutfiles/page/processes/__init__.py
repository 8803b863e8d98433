"""What runs beside the page: processes that lay out or work out what fabrics give, and who watches them.

A process is a module that is run by itself (`worker`, `gives`) and tells in lines of JSON; the page has an
object for each (`LayoutRun`, `Enquiry`) in which stands what is known so far.
"""
