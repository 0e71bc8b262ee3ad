-- Drives the service from Neovim without a screen. It writes what it gets into
-- the file named by PERCH_OUT, a line each; the test reads it.
local out = io.open(os.getenv("PERCH_OUT"), "w")
local function say(...) out:write(string.format(...), "\n") out:flush() end
local function fail(what) say("failed: %s", what) out:close() vim.cmd("cquit 3") end

local ok, err = pcall(function()
  vim.cmd("edit " .. os.getenv("PERCH_FILE"))
  local buf = vim.api.nvim_get_current_buf()
  local seen = 0
  vim.lsp.handlers["textDocument/publishDiagnostics"] = vim.lsp.with(function(...)
    seen = seen + 1
    vim.lsp.diagnostic.on_publish_diagnostics(...)
  end, {})
  local id = vim.lsp.start_client({ name = "perch", cmd = { os.getenv("PERCH_SERVER") }, root_dir = vim.fn.expand("%:p:h") })
  if not id then fail("the server did not start") end
  vim.lsp.buf_attach_client(buf, id)
  if not vim.wait(20000, function() return seen > 0 end, 10) then fail("no diagnostics came") end

  local function mistakes()
    return vim.tbl_filter(function(d) return d.severity == vim.diagnostic.severity.ERROR end, vim.diagnostic.get(buf))
  end
  local function tell(what)
    local list = mistakes()
    local text = string.format("%s: %d mistakes", what, #list)
    for _, d in ipairs(list) do
      text = text .. string.format(": %d:%d %s", d.lnum + 1, d.col + 1, d.message:gsub("\n", " "))
    end
    say("%s", text)
  end
  local function ask(method, params)
    local res = vim.lsp.buf_request_sync(buf, method, params, 20000)
    if not res or not res[id] then fail(method .. " got no answer") end
    if res[id].err then fail(method .. ": " .. vim.inspect(res[id].err)) end
    return res[id].result
  end
  local function to(pattern, into)
    vim.fn.cursor(1, 1)
    local line = vim.fn.search(pattern, "cW")
    if line == 0 then fail("no " .. pattern) end
    vim.fn.cursor(line, vim.fn.col(".") + into)
    return vim.lsp.util.make_position_params(0, "utf-16")
  end
  local function change(pattern, with)
    local before = seen
    vim.cmd("%s/" .. pattern .. "/" .. with .. "/")
    if not vim.wait(20000, function() return seen > before end, 10) then fail("no diagnostics after a change") end
    vim.wait(50)
  end

  tell("start")
  change("rule foot = seat", "rule foot = seet")
  if not vim.wait(5000, function() return #mistakes() > 0 end, 10) then fail("the mistake was not seen") end
  tell("edited")
  change("rule foot = seet", "rule foot = seat")
  vim.wait(5000, function() return #mistakes() == 0 end, 10)
  tell("mended")

  local hover = ask("textDocument/hover", to("param foot", 7))
  say("hover: %s", hover.contents.value:gsub("```perch\n", ""):gsub("\n", "\nhover: "))

  local where = to("corner_leg(c", 13)
  for _, item in ipairs(ask("textDocument/completion", where).items) do
    say("complete: %s", item.label)
  end
  local def = ask("textDocument/definition", to("= corner_gusset", 3))
  local lib = ask("textDocument/definition", to("= seat_cap", 3))
  say("definition: %s %d", lib.uri, lib.range.start.line + 1)

  local document = { textDocument = vim.lsp.util.make_text_document_params() }
  for _, link in ipairs(ask("textDocument/documentLink", document)) do say("link: %s", link.target) end
  local call = ask("textDocument/prepareCallHierarchy", to("= seat_cap", 3))[1]
  for _, one in ipairs(ask("callHierarchy/incomingCalls", { item = call })) do say("made of it: %s %s", one.from.detail, one.from.name) end
  local number = to("toe: 68mm", 6)
  local grown = ask("textDocument/selectionRange", { textDocument = document.textDocument, positions = { number.position } })[1]
  say("grows: %d then %d", grown.range["end"].character - grown.range.start.character,
    grown.parent.range["end"].character - grown.parent.range.start.character)
  local actions = ask("textDocument/codeAction", { textDocument = document.textDocument,
    range = { start = number.position, ["end"] = number.position }, context = { diagnostics = {} } })
  for _, action in ipairs(actions) do say("action: %s", action.title) end

  to("= seat_cap", 3)
  vim.lsp.buf.definition()
  if not vim.wait(20000, function() return vim.api.nvim_get_current_buf() ~= buf end, 10) then fail("the library was not opened") end
  vim.wait(20000, function() return vim.fn.line("$") > 1 end, 10)
  say("gone to: %s %d %s %s", vim.fn.expand("%"), vim.fn.line("."), vim.fn.getline("."), vim.bo.filetype)
  say("kept: modifiable %s, modified %s", vim.bo.modifiable, vim.bo.modified)
  vim.lsp.buf_attach_client(0, id)
  vim.fn.search("panel corner_leg")
  vim.fn.cursor(vim.fn.line("."), 8)
  local inside = vim.lsp.buf_request_sync(0, "textDocument/hover", vim.lsp.util.make_position_params(0, "utf-16"), 20000)
  say("in the library: %s", inside[id].result.contents.value:gsub("\n", " "))
  vim.cmd("buffer " .. buf)

  local rename = to("param height", 7)
  rename.newName = "tall"
  local before = seen
  vim.lsp.util.apply_workspace_edit(ask("textDocument/rename", rename), "utf-16")
  vim.wait(5000, function() return seen > before end, 10)
  say("renamed: %s", vim.fn.getline(vim.fn.search("param tall", "cw")))

  change("size mid$", [[size    mid\r\r\r]])
  local edits = ask("textDocument/formatting", { textDocument = vim.lsp.util.make_text_document_params(), options = { tabSize = 2, insertSpaces = true } })
  vim.lsp.util.apply_text_edits(edits, buf, "utf-16")
  vim.cmd("write")
  say("done")
  vim.lsp.stop_client(id)
  vim.wait(2000, function() return vim.lsp.client_is_stopped(id) end, 10)
end)
if not ok then fail(tostring(err)) end
out:close()
vim.cmd("qall!")
