using System.CommandLine;

namespace KitMesh.Cli.Frame;

/// <summary>Gives a command its action.</summary>
internal static class CommandAction
{
    extension(Command command)
    {
        /// <summary>The command, with an action that gets a <see cref="CommandRun"/>. What it throws is printed by <see cref="FaultPrinter"/>.</summary>
        /// <param name="surroundings">Clocks, generators and streams.</param>
        /// <param name="action">What the verb does.</param>
        public Command Runs(Surroundings surroundings, Func<CommandRun, Task<ExitCode>> action)
        {
            command.SetAction(async (parsed, _) => (int)await action(new CommandRun(parsed, surroundings)));
            return command;
        }

        /// <summary>The command, with an action that does not wait for anything.</summary>
        /// <param name="surroundings">Clocks, generators and streams.</param>
        /// <param name="action">What the verb does.</param>
        public Command Runs(Surroundings surroundings, Func<CommandRun, ExitCode> action)
        {
            command.SetAction(parsed => (int)action(new CommandRun(parsed, surroundings)));
            return command;
        }
    }
}
