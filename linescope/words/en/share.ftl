# A page that is shared with the crew: what its drawer says, and what the terminal says beside the code.

share-scan = Scan this with another telephone in the same network:
share-code = QR code of this page's address
share-only = This page only shows: nobody can change the plan on it. It is there as long as it is shared, for whoever has its address, and is not encrypted.
share-stand = Stand the rig up at the place
share-usdz = iPhone and iPad: tap the cube
share-glb = Other telephones: 3-D file (glTF)
share-ready = The crew's page is at { $address } for telephones in that network, to be looked at only. It holds the plan as it is now; whoever has the address can read it. Stop with Ctrl-C.
