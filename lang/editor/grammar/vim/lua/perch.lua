-- Asks the services that run for a text of the library.
local M = {}

-- text is the text of an address, nil where no service has it.
function M.text(address)
  for _, client in ipairs((vim.lsp.get_clients or vim.lsp.get_active_clients)()) do
    local offered = vim.tbl_get(client.server_capabilities or {}, "workspace", "textDocumentContent", "schemes")
    if offered and vim.tbl_contains(offered, "perch-lib") then
      local params = { uri = address }
      local answer
      if vim.fn.has("nvim-0.11") == 1 then
        answer = client:request_sync("workspace/textDocumentContent", params, 5000, 0)
      else
        answer = client.request_sync("workspace/textDocumentContent", params, 5000, 0)
      end
      if answer and answer.result then return answer.result.text end
    end
  end
end

return M
