using System.ComponentModel;
using System.Diagnostics;
using System.Globalization;
using System.Text;
using KitMesh.Devices.Mapping;
using KitMesh.Domain.Reports;

namespace KitMesh.Devices.Command;

/// <summary>Runs a program and passes on the readings that it prints, line by line.</summary>
internal sealed class CommandReader(string name, CommandOptions options, ReaderContext context) : IReader
{
    // A program that keeps running and dies is started again after a pause that grows to this.
    private static readonly TimeSpan FirstPause = TimeSpan.FromSeconds(1);
    private static readonly TimeSpan LongestPause = TimeSpan.FromMinutes(2);

    /// <inheritdoc/>
    public string Name => name;

    /// <inheritdoc/>
    public async Task RunAsync(ISampleSink sink, CancellationToken stop)
    {
        var faults = new FaultLatch(name, sink);
        if (options.Every is { } every)
        {
            await PollLoop.RunAsync(context, every, token => RunOnceAsync(sink, faults, options.Timeout, token), stop).ConfigureAwait(false);
            return;
        }

        TimeSpan pause = FirstPause;
        while (true)
        {
            context.CountWakeUp();
            bool sound = await RunOnceAsync(sink, faults, null, stop).ConfigureAwait(false);
            pause = sound ? FirstPause : TimeSpan.FromTicks(Math.Min(pause.Ticks * 2, LongestPause.Ticks));
            await Task.Delay(pause, context.MachineTime, stop).ConfigureAwait(false);
        }
    }

    /// <inheritdoc/>
    public ValueTask DisposeAsync() => ValueTask.CompletedTask;

    private async Task<bool> RunOnceAsync(ISampleSink sink, FaultLatch faults, TimeSpan? timeout, CancellationToken stop)
    {
        using Process? process = Start(out string? why);
        if (process is null)
        {
            await faults.RaiseAsync("program", null, $"{options.Run[0]} cannot be started: {why}", default, stop).ConfigureAwait(false);
            return false;
        }

        using var limit = timeout is { } longest ? new CancellationTokenSource(longest, context.MachineTime) : new CancellationTokenSource();
        using var both = CancellationTokenSource.CreateLinkedTokenSource(stop, limit.Token);
        try
        {
            Task<string> errors = FirstOfErrorsAsync(process, both.Token);
            bool any = await LinesAsync(process, sink, faults, both.Token).ConfigureAwait(false);
            await process.WaitForExitAsync(both.Token).ConfigureAwait(false);
            return await ExitAsync(process.ExitCode, any, await errors.ConfigureAwait(false), faults, stop).ConfigureAwait(false);
        }
        catch (OperationCanceledException) when (!stop.IsCancellationRequested)
        {
            await faults.RaiseAsync("program", null, $"{options.Run[0]} did not end within {timeout} and was ended.", default, stop).ConfigureAwait(false);
            return false;
        }
        finally
        {
            End(process);
        }
    }

    private Process? Start(out string? why)
    {
        why = null;
        var start = new ProcessStartInfo(options.Run[0])
        {
            RedirectStandardOutput = true,
            RedirectStandardError = true,
            RedirectStandardInput = true,
            UseShellExecute = false,
            StandardOutputEncoding = Encoding.UTF8,
        };
        foreach (string argument in options.Run.Skip(1))
        {
            start.ArgumentList.Add(argument);
        }

        try
        {
            var process = Process.Start(start);
            process?.StandardInput.Close();
            return process;
        }
        catch (Exception e) when (e is Win32Exception or IOException)
        {
            why = e.Message;
            return null;
        }
    }

    private static async Task<bool> LinesAsync(Process process, ISampleSink sink, FaultLatch faults, CancellationToken stop)
    {
        var lines = new BoundedLines(process.StandardOutput.BaseStream, ReadingLine.MaxLength);
        bool any = false;
        while (await lines.NextAsync(stop).ConfigureAwait(false) is { } line)
        {
            if (string.IsNullOrWhiteSpace(line))
            {
                continue;
            }

            string? complaint = ReadingLine.Parse(line, ReadingSource.Measured, out Sample sample);
            if (complaint is null)
            {
                any = true;
                await faults.ClearAsync("line", null, stop).ConfigureAwait(false);
                await sink.WriteAsync(sample, stop).ConfigureAwait(false);
            }
            else
            {
                await faults.RaiseAsync("line", null, $"A line of the program is no reading: {complaint}.", Encoding.UTF8.GetBytes(line), stop).ConfigureAwait(false);
            }
        }

        return any;
    }

    private async Task<bool> ExitAsync(int code, bool any, string errors, FaultLatch faults, CancellationToken stop)
    {
        if (code == 0 && (any || options.Every is not null))
        {
            await faults.ClearAsync("program", null, stop).ConfigureAwait(false);
            return true;
        }

        string words = string.Create(CultureInfo.InvariantCulture, $"{options.Run[0]} ended with code {code}{(any ? "" : " without a reading")}.{(errors.Length > 0 ? " It said: " + errors : "")}");
        await faults.RaiseAsync("program", null, words, default, stop).ConfigureAwait(false);
        return false;
    }

    private static async Task<string> FirstOfErrorsAsync(Process process, CancellationToken stop)
    {
        // Read to the end, so that the program never blocks on a full pipe; only the first line is kept.
        var lines = new BoundedLines(process.StandardError.BaseStream, 400);
        string first = "";
        while (await lines.NextAsync(stop).ConfigureAwait(false) is { } line)
        {
            first = first.Length == 0 ? line : first;
        }

        return first;
    }

    private static void End(Process process)
    {
        try
        {
            if (!process.HasExited)
            {
                process.Kill(entireProcessTree: true);
            }
        }
        catch (Exception e) when (e is InvalidOperationException or Win32Exception)
        {
            // It ended by itself in the meantime.
        }
    }
}
