"""Read a collection with geopandas and write it as JSON: address, layer, condition.

A process of its own: the library holds the interpreter while it waits for a server, so that one in
the same process would never answer.
"""

import json
import sys

import geopandas

address, layer, condition = sys.argv[1:]
table = geopandas.read_file(address, layer=layer, where=condition or None)
types = {name: str(kind) for name, kind in table.dtypes.items()}
rows = json.loads(table.drop(columns="geometry").to_json(orient="records", date_format="iso"))
sys.stdout.write(json.dumps({"types": types, "columns": list(table.columns), "rows": rows}))
