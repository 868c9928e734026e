-- Questions for wrk: every line of the file named by STEAD_MIX is one body, asked in turn.
local bodies = {}
for line in io.lines(os.getenv("STEAD_MIX")) do
   bodies[#bodies + 1] = line
end

local at = 0
local headers = { ["content-type"] = "application/json" }

function request()
   at = at % #bodies + 1
   return wrk.format("POST", "/v1/swap", headers, bodies[at])
end
