using System.CommandLine;
using KitMesh.Cli.Frame;
using KitMesh.Hub;
using KitMesh.Hub.Enrolment;

namespace KitMesh.Cli.Commands.Enrolling;

/// <summary><c>kitmesh enrol restore</c>: another hub takes the trip root over.</summary>
internal sealed class EnrolRestoreCommand
{
    private readonly Option<FileInfo> _from = OptionKit.ExistingFile("--from", "The spare copy.");
    private readonly Option<DirectoryInfo?> _data = OptionKit.Folder("--data", "The data folder of the hub that holds the root from now on.", required: true);
    private readonly Option<FileInfo?> _passphrase = new("--passphrase-file") { Description = "A file with the passphrase. Without it: standard input.", HelpName = "file" };

    public Command Build(Surroundings surroundings) =>
        new Command("restore", "Bring the trip root back from its spare copy into a hub that has none. Every certificate of the trip stays good.")
        {
            _from, _data, _passphrase,
        }.Runs(surroundings, Run);

    private ExitCode Run(CommandRun run)
    {
        try
        {
            string passphrase = SecretInput.Line(run, run.Get(_passphrase), "Passphrase of the spare copy", hidden: true);
            RootSpare.Restore(run.Get(_from).FullName, passphrase, new HubIdentityFolder(run.Get(_data)!.FullName));
        }
        catch (HubStartException refused)
        {
            throw CommandFault.BadInput(refused.Message, inner: refused);
        }

        run.Talk.Say("The trip root is back. Start the hub under a new name: the lost one's name stays the lost one's.");
        return ExitCode.Good;
    }
}
