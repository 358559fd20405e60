using System.Diagnostics;
using System.Text.Json;
using KitMesh.Disk.Media;
using KitMesh.Domain.Quantities;
using KitMesh.Domain.Reports;

namespace KitMesh.Offload.Drives;

// The problem: a drive that is about to fail mostly says so, to whoever asks. The traps: many USB bridges pass nothing on
// or answer with nonsense, and silence is not health; the tool's exit code is a set of bits that may be non-zero beside a
// full answer; asking must not hang the station. The method: ask smartctl for JSON, believe only a clear answer, and call
// everything else unknown.
// Source: smartctl(8), "EXIT STATUS" (bits 0 to 7) and its JSON output; NVM Express, "SMART / Health Information"
// (critical warning, percentage used, media errors). Attributes 5, 197 and 198: common practice, no source.

/// <summary>What a drive says of its health, by <c>smartctl</c> where that is installed.</summary>
public static class DriveHealthProbe
{
    private const int AskedWrongly = 0b0000_0111;
    private const int SaysFailing = 0b0000_1000;
    private const int BelowThreshold = 0b0001_0000;
    private static readonly TimeSpan Patience = TimeSpan.FromSeconds(15);
    private static readonly int[] BadSectorAttributes = [5, 197, 198];

    /// <summary>Asks the drive under a folder.</summary>
    /// <param name="root">Where it is mounted.</param>
    /// <param name="program">The program; a path in tests.</param>
    public static (DriveHealth Health, Celsius? Temperature) Ask(string root, string program = "smartctl") =>
        Answer(root, program) is { } json ? Read(json) : (DriveHealth.Unknown, null);

    /// <summary>What the drive under a folder answers, as JSON; null when it does not, or the program is not there.</summary>
    /// <param name="root">Where it is mounted.</param>
    /// <param name="program">The program; a path in tests.</param>
    public static string? Answer(string root, string program = "smartctl") =>
        MountTable.Of(Path.GetFullPath(root)) is { } mount && DiskOf(mount) is { } disk ? Run(program, disk) : null;

    /// <summary>How often the drive was switched on, by its own count; null when it does not tell.</summary>
    /// <param name="json">What smartctl printed.</param>
    public static long? PowerCycles(string? json)
    {
        try
        {
            using JsonDocument? answer = json is null ? null : JsonDocument.Parse(json);
            return answer is not null && Number(answer.RootElement, "power_cycle_count") is > 0 and { } count ? count : null;
        }
        catch (JsonException)
        {
            return null;
        }
    }

    /// <summary>Reads an answer.</summary>
    /// <param name="json">What smartctl printed.</param>
    public static (DriveHealth Health, Celsius? Temperature) Read(string json)
    {
        try
        {
            using JsonDocument answer = JsonDocument.Parse(json);
            return (HealthOf(answer.RootElement), TemperatureOf(answer.RootElement));
        }
        catch (JsonException)
        {
            return (DriveHealth.Unknown, null);
        }
    }

    private static DriveHealth HealthOf(JsonElement answer)
    {
        long exit = Number(answer, "smartctl", "exit_status") ?? AskedWrongly;
        bool? passed = Find(answer, "smart_status", "passed") is { ValueKind: JsonValueKind.True or JsonValueKind.False } told ? told.GetBoolean() : null;
        if (passed == false || ((exit & SaysFailing) != 0 && (exit & AskedWrongly) == 0))
        {
            return DriveHealth.Failing;
        }

        if (passed is null || (exit & AskedWrongly) != 0)
        {
            return DriveHealth.Unknown;
        }

        bool warns = (exit & BelowThreshold) != 0
            || Number(answer, "nvme_smart_health_information_log", "critical_warning") > 0
            || Number(answer, "nvme_smart_health_information_log", "media_errors") > 0
            || Number(answer, "nvme_smart_health_information_log", "percentage_used") >= 100
            || HasBadSectors(answer);
        return warns ? DriveHealth.Warning : DriveHealth.Passed;
    }

    private static bool HasBadSectors(JsonElement answer) =>
        Find(answer, "ata_smart_attributes", "table") is { ValueKind: JsonValueKind.Array } table
        && table.EnumerateArray().Any(row => Number(row, "id") is { } id && BadSectorAttributes.Contains((int)id) && Number(row, "raw", "value") > 0);

    private static Celsius? TemperatureOf(JsonElement answer) =>
        Number(answer, "temperature", "current") is { } degrees and > -60 and < 150 and not 0 ? new Celsius(degrees) : null;

    private static long? Number(JsonElement from, params string[] path) =>
        Find(from, path) is { ValueKind: JsonValueKind.Number } number && number.TryGetInt64(out long value) ? value : null;

    private static JsonElement? Find(JsonElement from, params string[] path)
    {
        foreach (string name in path)
        {
            if (from.ValueKind != JsonValueKind.Object || !from.TryGetProperty(name, out from))
            {
                return null;
            }
        }

        return from;
    }

    // A partition has no health of its own: its disk, one level up, has. Loop devices and the like have none.
    private static string? DiskOf(Mount mount)
    {
        string folder = $"/sys/dev/block/{mount.DeviceNumber}";
        if (!mount.Source.StartsWith("/dev/", StringComparison.Ordinal) || !Directory.Exists(folder))
        {
            return null;
        }

        string real = new DirectoryInfo(folder).ResolveLinkTarget(returnFinalTarget: true)?.FullName ?? folder;
        string disk = Path.GetFileName(File.Exists($"{real}/partition") ? Path.GetDirectoryName(real)! : real);
        return Directory.Exists($"/sys/block/{disk}/device") ? $"/dev/{disk}" : null;
    }

    private static string? Run(string program, string disk)
    {
        try
        {
            using Process process = Process.Start(new ProcessStartInfo(program, ["--json", "--nocheck=standby", "--info", "--health", "--attributes", disk])
            {
                RedirectStandardOutput = true,
                RedirectStandardError = true,
            })!;
            Task<string> output = process.StandardOutput.ReadToEndAsync();
            _ = process.StandardError.ReadToEndAsync();
            if (process.WaitForExit(Patience))
            {
                return output.GetAwaiter().GetResult();
            }

            process.Kill();
        }
        catch (System.ComponentModel.Win32Exception)
        {
            // Not installed: unknown.
        }

        return null;
    }
}
