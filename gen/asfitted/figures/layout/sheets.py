"""temp"""
from .choose import lay_out_sheet
Sheet = divide = lay_out = None
