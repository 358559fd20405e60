using System.CommandLine;
using KitMesh.Cli.Commands.Offloading.Modelled;
using KitMesh.Cli.Frame;

namespace KitMesh.Cli.Commands.Bench;

/// <summary><c>kitmesh bench model-drive</c>: what <c>bench offload --model</c> starts for each drive; not for people.</summary>
internal sealed class ModelDrive : ICommandFile
{
    private readonly Option<string> _folder = OptionKit.TextRequired("--folder", "Where to serve the image.");
    private readonly Option<long> _bytes = OptionKit.NumberRequired("--bytes", "Bytes of the image.", 1L, 1L << 40);
    private readonly Option<double> _write = OptionKit.NumberRequired("--write", "Bytes a second taken.", 1.0, 1e12);
    private readonly Option<double> _read = OptionKit.NumberRequired("--read", "Bytes a second given.", 1.0, 1e12);
    private readonly Option<double> _seek = OptionKit.Number("--seek", "Milliseconds that a jump costs.", 0.0, 1000.0, 0.0);
    private readonly Option<long> _fast = OptionKit.Number("--fast", "Bytes after which writing is slow; 0 for never.", 0L, 1L << 40, 0L);
    private readonly Option<double> _slow = OptionKit.Number("--slow", "Bytes a second taken after that.", 0.0, 1e12, 0.0);

    /// <inheritdoc/>
    public Command Build(Surroundings surroundings)
    {
        Command command = new Command("model-drive", "Serve a drive of a chosen speed from memory.") { _folder, _bytes, _write, _read, _seek, _fast, _slow }.Runs(surroundings, RunAsync);
        command.Hidden = true;
        return command;
    }

    private async Task<ExitCode> RunAsync(CommandRun run)
    {
        var model = new DriveModel(run.Get(_write), run.Get(_read), run.Get(_seek) / 1000, run.Get(_fast), run.Get(_slow));
        using var image = new FuseImage(run.Get(_folder), run.Get(_bytes), model, run.Surroundings.Machine);
        Task serving = Task.Factory.StartNew(image.Serve, CancellationToken.None, TaskCreationOptions.LongRunning, TaskScheduler.Default);
        run.Out.Line("ready");
        // Whoever started this is done, or dead, when the input ends: the kernel fails what is left.
        await await Task.WhenAny(serving, Task.Run(() => Listen(run, image)));
        return ExitCode.Good;
    }

    private static void Listen(CommandRun run, FuseImage image)
    {
        while (Console.In.ReadLine() is { } word)
        {
            if (word == "pace")
            {
                image.Rest();
            }

            image.Paced = word == "pace";
            run.Out.Line(word);
        }
    }
}
