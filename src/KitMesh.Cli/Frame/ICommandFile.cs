using System.CommandLine;

namespace KitMesh.Cli.Frame;

/// <summary>
/// One verb, one file. A public or internal class with a constructor without arguments that implements this is found by
/// <see cref="CommandTree"/>; nothing else has to be edited. Its namespace says where it hangs:
/// <c>KitMesh.Cli.Commands</c> under the root, <c>KitMesh.Cli.Commands.Bench</c> under <c>bench</c>,
/// <c>KitMesh.Cli.Commands.Calc</c> under <c>calc</c>.
/// </summary>
/// <example>
/// <code>
/// internal sealed class LedgerCommand : ICommandFile
/// {
///     private readonly Option&lt;Uri&gt; _hub = OptionKit.Hub();
///
///     public Command Build(Surroundings surroundings) =>
///         new Command("ledger", "Which copy of what lies where.") { _hub }.Runs(surroundings, RunAsync);
///
///     private async Task&lt;ExitCode&gt; RunAsync(CommandRun run)
///     {
///         Uri hub = run.Get(_hub);
///         ...
///         run.Out.Json(shape);      // when run.Json
///         run.Out.Table(table);     // else
///         return ExitCode.Good;
///     }
/// }
/// </code>
/// </example>
internal interface ICommandFile
{
    /// <summary>The verb with its options and its action.</summary>
    /// <param name="surroundings">Clocks, generators and streams; see <see cref="Surroundings"/>.</param>
    Command Build(Surroundings surroundings);
}
