using System.Diagnostics;
using System.Text.Json;

namespace KitMesh.Tests.Devices.Modbus;

/// <summary>A Modbus server of another make (Debian's python3-pymodbus), run as its own process.</summary>
internal sealed class ForeignModbusServer : IAsyncDisposable
{
    private const string Python = "/usr/bin/python3";

    private readonly Process _process;

    private ForeignModbusServer(Process process, string where)
    {
        _process = process;
        Where = where;
    }

    /// <summary>Port or serial device.</summary>
    public string Where { get; }

    /// <summary>Why it cannot run here; null when it can.</summary>
    public static async Task<string?> MissingAsync(bool serial)
    {
        if (!File.Exists(Python))
        {
            return $"{Python} is not installed.";
        }

        using Process process = Process.Start(new ProcessStartInfo(Python, ["-c", serial ? "import pymodbus, serial, serial_asyncio" : "import pymodbus"]) { RedirectStandardError = true })!;
        await process.WaitForExitAsync(TestContext.Current.CancellationToken);
        return process.ExitCode == 0 ? null : "Debian's python3-pymodbus (and python3-serial-asyncio for serial lines) is not installed.";
    }

    /// <summary>Starts it with registers.</summary>
    public static async Task<ForeignModbusServer> StartAsync(string mode, IReadOnlyDictionary<int, ushort>? holding, IReadOnlyDictionary<int, ushort>? input)
    {
        string script = Path.Combine(AppContext.BaseDirectory, "Devices", "Modbus", "foreign_modbus_server.py");
        var start = new ProcessStartInfo(Python, [script]) { RedirectStandardInput = true, RedirectStandardOutput = true };
        Process process = Process.Start(start)!;
        string wanted = JsonSerializer.Serialize(new { mode, unit = 1, holding = Blocks(holding), input = Blocks(input) });
        await process.StandardInput.WriteLineAsync(wanted);
        await process.StandardInput.FlushAsync();
        string? ready = await process.StandardOutput.ReadLineAsync(TestContext.Current.CancellationToken);
        Assert.StartsWith("READY ", ready, StringComparison.Ordinal);
        return new ForeignModbusServer(process, ready!["READY ".Length..]);
    }

    public async ValueTask DisposeAsync()
    {
        _process.StandardInput.Close();
        await _process.WaitForExitAsync();
        _process.Dispose();
    }

    private static Dictionary<string, int[]> Blocks(IReadOnlyDictionary<int, ushort>? registers) =>
        registers?.ToDictionary(r => r.Key.ToString(), r => new[] { (int)r.Value }) ?? [];
}
